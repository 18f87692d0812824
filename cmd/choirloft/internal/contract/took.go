package contract

import (
	"cmp"
	"math"
	"slices"

	"choirloft/profiles"
	"choirloft/routing"
	"choirloft/routing/plan"
	"choirloft/routing/take"
	"choirloft/routing/take/recorded"
)

// Took is what one recording of a take says of a rack.
type Took struct {
	Version     int           `json:"version"`
	Rig         string        `json:"rig"`
	Fingerprint string        `json:"fingerprint"`
	Summary     string        `json:"summary"`
	Take        string        `json:"take"`
	Recording   string        `json:"recording"`
	StartS      float64       `json:"start_s"`     // of the take in the recording
	ClockPPM    float64       `json:"clock_ppm"`   // by which the recorder is fast against the player
	SecondBest  float64       `json:"second_best"` // how well the second best place fits: 1 is as well
	PeakDB      *float64      `json:"peak_db"`     // of the recording, below full scale
	Clipped     bool          `json:"clipped"`     // so that levels and attacks are not for the rig
	Called      bool          `json:"called"`      // the second roll call is heard, and compares the clocks
	FramesPerS  int           `json:"frames_per_s"`
	Through     string        `json:"through"` // what keys went through: nothing, corrections
	Voices      []TookVoice   `json:"voices"`
	Releases    []TookRelease `json:"releases"` // of kinds of voices, beside those of the rig
	Written     *string       `json:"written"`  // the file that values were written into; null for none
	Asked       bool          `json:"asked"`    // --write was given
	Date        *string       `json:"date"`     // of the recording; null where none was given
	Later       *string       `json:"later"`    // the last day of pitches that the rig has, where it is after that
	Days        int           `json:"days"`     // of pitches of a voice, at most, this one with them; 0 without a date
	Needs       *TookNeeds    `json:"needs"`    // of a song; null for none
	// MovedCents is the median of what voices rose from the first roll call to the second.
	MovedCents *float64 `json:"moved_cents"`
	// Verified is how far keys are off through the corrections; null where they went through nothing.
	Verified *TookVerified `json:"verified"`
	// Answers are the voices of which values are for the rig.
	Answers []string `json:"answers"`
	// Gives are the values of them that this take tells: release, attack, level, latency, min_gate.
	// Levels and latencies compare voices, so that they are of a take of all.
	Gives []string `json:"gives"`
	// Jumps are of voices that moved further from or to this day than drift explains, but for
	// those that are to be turned by hand.
	Jumps []TunedJump `json:"jumps"`
	// Anew are the voices of which the rig kept days that it drops, since a trimmer was turned
	// before this take, or is to be turned after it.
	Anew []string `json:"anew"`
	// Tuning is what the pitches say; null where no voice gave any.
	Tuning  *Tune  `json:"tuning"`
	RigFile string `json:"rig_file"`
	MiddleC int    `json:"middle_c"` // the octave of key 60
}

// TookRelease is the release of the voices of a kind: a rig has one for all of them.
type TookRelease struct {
	Kind    string  `json:"kind"`
	Voices  int     `json:"voices"` // that were measured
	MedianS float64 `json:"median_s"`
	LowS    float64 `json:"low_s"`
	HighS   float64 `json:"high_s"`
	RigS    float64 `json:"rig_s"` // what the rig has, or assumes
	Basis   Source  `json:"basis"` // of that
}

// TookNeeds is how many voices a song needs on the rig as it was, and as it was measured.
type TookNeeds struct {
	Song   Song      `json:"song"`
	Before TookSized `json:"before"`
	After  TookSized `json:"after"`
	// These are of the rig as it was measured.
	Voices       int            `json:"voices"`        // in service, that answer as they should
	Away         int            `json:"away"`          // in service, that do not
	LongestS     float64        `json:"longest_s"`     // release of a voice in service: the numbers are for voices that all have it
	LongestVoice *string        `json:"longest_voice"` // null where all have it
	Own          Cost           `json:"own"`           // on the voices in service
	OwnHeard     *HeardFigures  `json:"own_heard"`
	Unplayed     int            `json:"unplayed"`
	UnmappedKeys []UnmappedKeys `json:"unmapped_keys"`
}

// TookSized is how many voices a song needs.
type TookSized struct {
	HeardNone *int `json:"heard_none"` // nothing is heard to be missing; null where that was not found
	Held      int  `json:"held"`       // no note is cut short or dropped, by the best rule
	Tails     int  `json:"tails"`      // every tail rings out
}

// NewTookNeeds compares two sizes of one song.
func NewTookNeeds(before, after *SizeResult, measured *plan.Plan) *TookNeeds {
	sized := func(s *SizeResult) (n TookSized) {
		n.Held, n.Tails = s.Enough.Pedal, s.Enough.Audible
		if d := s.Demand.HeardDemand; d != nil {
			n.HeardNone = d.None
		}
		return n
	}
	out := &TookNeeds{Song: before.Song, Before: sized(before), After: sized(after), Voices: after.Voices, Away: before.Voices - after.Voices, LongestS: after.RestsOn.ReleaseS,
		Own: after.Now, OwnHeard: after.NowHeard, Unplayed: after.Unmapped, UnmappedKeys: after.UnmappedKeys}
	alike := true
	for i, v := range measured.Rules.Config.Voices {
		if !v.State.InService() {
			continue
		}
		if seconds(v.Envelope.Release) < out.LongestS {
			alike = false
		} else if out.LongestVoice == nil {
			out.LongestVoice = &measured.Rig.Voices[i].Name
		}
	}
	if alike {
		out.LongestVoice = nil
	}
	return out
}

// TookVerified is how far keys are off through the corrections.
type TookVerified struct {
	WithinCents float64   `json:"within_cents"`
	InTune      int       `json:"in_tune"` // voices with no key further off
	Voices      int       `json:"voices"`  // that were read
	Worst       []TookOff `json:"worst"`   // of each voice, the furthest first
	// Bent are the voices whose corrections move a key that was read by a cent or more.
	// Unheard are those of them that sound as if nothing had corrected them.
	Bent    int `json:"bent"`
	Unheard int `json:"unheard"`
}

// TookOff is the key of a voice that is furthest off.
type TookOff struct {
	Voice string  `json:"voice"`
	Key   int     `json:"key"`
	Cents float64 `json:"cents"`
}

// newTookVerified finds the worst key of each voice in its place.
func newTookVerified(in *TookInput) *TookVerified {
	r := in.Result
	out := &TookVerified{WithinCents: in.Within, Worst: []TookOff{}}
	for i := range r.Voices {
		v := &r.Voices[i]
		worst := TookOff{Voice: r.Take.Plan.Rig.Voices[v.Voice].Name}
		read := false
		for _, m := range v.Readings {
			if v.State == recorded.OK && m.Bend == 0 {
				if !read || math.Abs(m.Cents) > math.Abs(worst.Cents) {
					worst.Key, worst.Cents = int(m.Key), m.Cents
				}
				read = true
			}
		}
		if !read {
			continue
		}
		out.Voices++
		if moves, uncorrected := corrects(r.Take.Plan, v); moves {
			out.Bent++
			if uncorrected {
				out.Unheard++
			}
		}
		if math.Abs(worst.Cents) <= in.Within {
			out.InTune++
		}
		out.Worst = append(out.Worst, worst)
	}
	slices.SortStableFunc(out.Worst, func(a, b TookOff) int { return cmp.Compare(math.Abs(b.Cents), math.Abs(a.Cents)) })
	return out
}

// corrects tells whether the correction of a voice moves a key that was read by a cent or
// more, and whether all sound as if it had not: off by just what it should have taken away.
func corrects(p *plan.Plan, v *recorded.Voice) (moves, uncorrected bool) {
	const noticed, near = 1.0, 0.5 // cents
	l := p.Map.Voices[v.Voice].Lane("pitch")
	box, c := &p.Rig.Interfaces[l.Interface], routing.Corrections(p.Rig)[v.Voice]
	uncorrected = true
	for _, m := range v.Readings {
		ideal := routing.VoltsAt(box, p.Rig.A4, float64(m.Key))
		takes := 100 * (routing.PitchAt(box, p.Rig.A4, ideal) - routing.PitchAt(box, p.Rig.A4, c.Apply(ideal)))
		if m.Bend != 0 {
			continue
		}
		moves = moves || math.Abs(takes) >= noticed
		uncorrected = uncorrected && math.Abs(m.Cents-takes) < near+3*m.Sigma
	}
	return moves, uncorrected
}

// TookVoice is one voice in a take. What could not be told is null.
type TookVoice struct {
	Name       string      `json:"name"`
	State      string      `json:"state"` // ok, silent, crossed, unplugged, stuck, doubled, octave
	Faults     []TookFault `json:"faults"`
	Confidence float64     `json:"confidence"` // of the state, 0–1
	ReleaseS   *float64    `json:"release_s"`  // to −60 dB
	AttackS    *float64    `json:"attack_s"`
	LevelDB    *float64    `json:"level_db"`        // below full scale, of the key nearest to middle C
	LatencyS   *float64    `json:"latency_s"`       // behind the quickest voice
	Late       bool        `json:"late"`            // by so much that check speaks of it
	GateS      *float64    `json:"shortest_gate_s"` // that opened it
	// What follows are standard deviations.
	ReleaseSigmaS *float64 `json:"release_sigma_s"`
	AttackSigmaS  *float64 `json:"attack_sigma_s"`
	LevelSigmaDB  *float64 `json:"level_sigma_db"`
	LatencySigmaS *float64 `json:"latency_sigma_s"`
	// MovedCents is by how much it rose from the first roll call to the second.
	MovedCents *float64      `json:"moved_cents"`
	Readings   []TookReading `json:"readings"`
	FromS      float64       `json:"from_s"` // in the take, of what it plays alone
	Notes      []TookNote    `json:"notes"`  // that were asked, in the order of time
}

// TookNote is what was asked of a voice, and at which key it was heard.
type TookNote struct {
	Kind     string   `json:"kind"` // roll call, reading, gate, bend, fade, again
	AtS      float64  `json:"at_s"` // in the take
	Seconds  float64  `json:"seconds"`
	Key      int      `json:"key"`
	Bend     float64  `json:"bend_semitones"`
	HeardKey *float64 `json:"heard_key"` // null where nothing was heard
}

// TookFault is what is wrong with a voice.
type TookFault struct {
	Code    string  `json:"code"` // as the state
	With    *string `json:"with"` // the other voice; null for none
	Octaves int     `json:"octaves"`
}

// TookReading is the pitch of a key.
type TookReading struct {
	Key        int     `json:"key"`
	Bend       float64 `json:"bend_semitones"`
	Hertz      float64 `json:"hertz"`
	Cents      float64 `json:"cents"` // above the key as sent
	SigmaCents float64 `json:"sigma_cents"`
}

// TookInput is all that was worked out from a recording of a take.
type TookInput struct {
	Result                   *recorded.Result
	RigFile, Take, Recording string
	Tuning                   *Tune
	Answers                  []recorded.Answer
	Needs                    *TookNeeds
	Within                   float64 // cents that count as in tune
	Date                     string  // of the recording; may be empty
	Asked                    bool    // --write was given
	Written                  string  // the file that values were written into; empty for none
}

// gives names the values that a take tells of voices in their place.
func gives(r *recorded.Result) []string {
	names, whole, exact := []string{}, r.Take.Whole(), !r.Clipped()
	for _, value := range []struct {
		name string
		told bool
		of   func(v *recorded.Voice) float64
	}{{"release", true, func(v *recorded.Voice) float64 { return v.Release }}, {"attack", exact, func(v *recorded.Voice) float64 { return v.Attack }},
		{"level", exact && whole, func(v *recorded.Voice) float64 { return v.Level }}, {"latency", whole, func(v *recorded.Voice) float64 { return v.Latency }},
		{"min_gate", true, func(v *recorded.Voice) float64 { return v.Gate }}} {
		if value.told && slices.ContainsFunc(r.Voices, func(v recorded.Voice) bool { return v.State == recorded.OK && !math.IsNaN(value.of(&v)) }) {
			names = append(names, value.name)
		}
	}
	return names
}

// NewTook returns the report of a take that was read.
func NewTook(in TookInput) *Took {
	r := in.Result
	rig := r.Take.Plan.Rig
	out := &Took{Version: Version, Rig: rig.Name, Fingerprint: r.Take.Plan.Code(), Take: in.Take, Recording: in.Recording, StartS: r.Start,
		ClockPPM: r.PPM, SecondBest: r.Second, PeakDB: finite(20 * math.Log10(r.Peak)), Clipped: r.Clipped(), Called: r.Called, Asked: in.Asked, Date: optional(in.Date), Later: optional(r.Later(in.Date)), FramesPerS: r.Rate, Through: take.Through(r.Take.Through),
		Voices: []TookVoice{}, Releases: []TookRelease{}, Written: optional(in.Written), Tuning: in.Tuning, Needs: in.Needs, Answers: []string{}, Jumps: []TunedJump{}, Anew: []string{}, RigFile: in.RigFile, MiddleC: int(rig.MiddleC)}
	for i := range r.Voices {
		v := &r.Voices[i]
		to := TookVoice{Name: rig.Voices[v.Voice].Name, State: v.State.String(), Faults: []TookFault{}, Confidence: v.Confidence,
			ReleaseS: finite(v.Release), AttackS: finite(v.Attack), LevelDB: finite(v.Level), LatencyS: finite(v.Latency), Late: v.Latency >= plan.NotLate.Seconds(), GateS: finite(v.Gate), MovedCents: finite(v.Moved),
			ReleaseSigmaS: finite(v.Sigma.Release), AttackSigmaS: finite(v.Sigma.Attack), LevelSigmaDB: finite(v.Sigma.Level), LatencySigmaS: finite(v.Sigma.Latency), Readings: []TookReading{}, Notes: []TookNote{}}
		if v.State != recorded.OK {
			fault := TookFault{Code: to.State, Octaves: v.Octaves}
			if v.With >= 0 {
				fault.With = &rig.Voices[v.With].Name
			}
			to.Faults = append(to.Faults, fault)
		}
		for _, m := range v.Readings {
			to.Readings = append(to.Readings, TookReading{int(m.Key), m.Bend, m.Hertz, m.Cents, m.Sigma})
		}
		p := &r.Take.Parts[i]
		to.FromS = seconds(p.From)
		for j, n := range p.Notes {
			note := TookNote{Kind: n.Kind.String(), AtS: seconds(n.At), Seconds: seconds(n.Long), Key: int(n.Key), Bend: n.Bend}
			if j < len(v.Heard) {
				note.HeardKey = finite(v.Heard[j])
			}
			to.Notes = append(to.Notes, note)
		}
		out.Voices = append(out.Voices, to)
	}
	for _, k := range r.Releases() {
		kind := &rig.Kinds[k.Kind]
		out.Releases = append(out.Releases, TookRelease{kind.Name, k.Voices, seconds(k.Median), seconds(k.Low), seconds(k.High), seconds(kind.Envelope.Release),
			kindSource(rig, kind, profiles.MeasuredRelease)})
	}
	for i := range in.Answers {
		voice := &rig.Voices[in.Answers[i].Voice]
		out.Answers = append(out.Answers, voice.Name)
		out.Days = max(out.Days, len(in.Answers[i].Tuning))
		if had := voice.Answer; had != nil && in.Answers[i].Drops(had.Tuning) {
			out.Anew = append(out.Anew, voice.Name)
		}
	}
	if in.Tuning != nil && in.Date != "" {
		byHand := func(name string) bool {
			return slices.ContainsFunc(in.Tuning.Voices, func(v TunedVoice) bool { return v.Name == name && v.ByHand })
		}
		for _, j := range in.Tuning.Jumps {
			if (j.From == in.Date || j.To == in.Date) && !byHand(j.Voice) {
				out.Jumps = append(out.Jumps, j)
			}
		}
	}
	out.Gives = gives(r)
	if r.Take.Through {
		out.Verified = newTookVerified(&in)
	}
	out.MovedCents = finite(r.Moved())
	return out
}
