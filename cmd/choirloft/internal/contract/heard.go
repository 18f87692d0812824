package contract

import (
	"cmp"
	"math"
	"slices"

	"choirloft/alloc"
	"choirloft/alloc/study"
	"choirloft/alloc/study/hearing"
	"choirloft/midi"
	"choirloft/routing/plan"
)

// HeardFigures say how much is heard of what a song or a part loses.
type HeardFigures struct {
	SharePlain float64 `json:"share_plain"` // of the song, in which the difference is plain
	ShareFaint float64 `json:"share_faint"` // in which it is heard: faint or plain
	PlainS     float64 `json:"plain_s"`     // the same in seconds, with tails behind its end
	FaintS     float64 `json:"faint_s"`
	Plain      *int    `json:"plain"` // losses that are heard plainly; null where they were not counted
	Faint      *int    `json:"faint"` // that are heard, these included
	WorstDB    float64 `json:"worst_db"`
	DBS        float64 `json:"db_s"` // what lies above 1 dB, in dB·s to 0.001; rankings go by it
}

// Heard is what is heard of a song that was played.
type Heard struct {
	HeardFigures
	Moments    []Moment    `json:"moments"` // in the order of time
	Course     HeardCourse `json:"course"`
	WrongPitch HeardOf     `json:"wrong_pitch"`
	// Order are the indexes of the losses that are heard, the worst first: starts
	// before ends, each by what lies above 1 dB, in dB·s, a missing start as if it
	// lasted half a second at least.
	Order []int `json:"most_heard_first"`
}

// HeardCourse is what is heard of the song step by step: the largest difference in each, in dB,
// 0 where none is heard, up to the last in which one is.
type HeardCourse struct {
	StepS float64   `json:"step_s"`
	DB    []float64 `json:"db"`
}

// HeardOf counts what is heard: plainly, and at all.
type HeardOf struct {
	Plain int `json:"plain"`
	Faint int `json:"faint"`
}

// Moment is a time in which something is heard to be missing.
type Moment struct {
	AtS     float64 `json:"at_s"`
	Bar     string  `json:"bar"` // bar:beat:tick
	LengthS float64 `json:"length_s"`
	DB      float64 `json:"db"`      // the largest difference in it
	BandHz  float64 `json:"band_hz"` // the centre of the band in which most is missing
	Losses  []int   `json:"losses"`  // indexes of losses that are heard then
}

// HeardOne is how much is heard of one loss.
type HeardOne struct {
	HeardDB *float64 `json:"heard_db"` // null where it is not heard
	Kind    string   `json:"kind"`     // start, end: which of the note is missing or wrong
	// Flag is null but for what is heard and no ending says: late, wrong_pitch,
	// thinned, cut, and left_out and altered, by an override. Such a note may stand among the losses for its ending, too.
	Flag  *string `json:"flag"`
	LateS float64 `json:"late_s,omitempty"` // of a note that is late: by how much
}

// HeardDemand is how many voices a song wants by ear; null where no number does, or
// the budget was not enough.
type HeardDemand struct {
	None      *int `json:"heard_none"`       // nothing is heard to be missing
	PlainNone *int `json:"heard_plain_none"` // nothing is heard plainly to be
}

func heardDemand(d *hearing.Demand, most int) *HeardDemand {
	if d == nil {
		return &HeardDemand{}
	}
	found := func(n int) *int {
		if n > most {
			return nil
		}
		return &n
	}
	return &HeardDemand{found(d.None), found(d.PlainNone)}
}

func heardFigures(v *hearing.Verdict, counted bool) HeardFigures {
	h := HeardFigures{SharePlain: v.SharePlain, ShareFaint: v.ShareFaint, PlainS: seconds(v.Measure.Plain), FaintS: seconds(v.Measure.Faint),
		WorstDB: v.Worst, DBS: math.Round(v.Loud*1000) / 1000}
	if counted {
		h.Plain, h.Faint = &v.Plainly, &v.Losses
	}
	return h
}

func heardAfter(v *hearing.Verdict) *HeardAfter {
	return &HeardAfter{v.Plainly, v.Losses, v.SharePlain}
}

// Hearing is what is assumed of voices and ear to say what is heard, and how far the
// budget was enough for it.
type Hearing struct {
	LevelDB float64 `json:"level_db"` // of one voice at full on key 60, in dB SPL
	// These are null where parts differ.
	CutoffHz     *float64    `json:"cutoff_hz"`
	TrackPercent *float64    `json:"track_percent"`
	Wave         *string     `json:"wave"`
	Parts        []PartSound `json:"parts"`
	// Assumed are the paths of the rig's keys that no file says.
	Assumed []string `json:"assumed"`
	// Variations are how many voices the song wants by ear if one assumption were
	// another; of the size of a song alone.
	Variations []HearingVariation `json:"variations,omitzero"`
	// Covered is what the budget was not enough for, and is null: song (replay),
	// demand, curve and losses (numbers of voices), variations.
	Covered []Coverage `json:"covered"`
	// Interrupted tells that the user ended it before all was heard.
	Interrupted bool `json:"interrupted,omitempty"`
}

// HearingVariation is what a song wants by ear with another wave for all parts, with
// releases longer or shorter by step_percent, or by an ear that takes twice as much.
type HearingVariation struct {
	Name string `json:"name"` // saw, square, triangle, sine, longer, shorter, dull
	HeardDemand
}

// PartSound is what a part is taken to sound like.
type PartSound struct {
	Part         string  `json:"part"`
	Wave         string  `json:"wave"`
	CutoffHz     float64 `json:"cutoff_hz"`
	TrackPercent float64 `json:"track_percent"`
	Velocity     bool    `json:"velocity"` // a velocity control reaches its voices, and counts
}

func newHearing(p *plan.Plan) *Hearing {
	m, assumed := p.Ear()
	h := &Hearing{LevelDB: m.LevelDB, Assumed: append([]string{}, assumed...), Covered: []Coverage{}}
	for i, s := range m.Sounds {
		h.Parts = append(h.Parts, PartSound{p.Rules.Config.Parts[i].Name, s.Wave.String(), s.Cutoff, 100 * s.Track, m.Velocity[i]})
	}
	first := &h.Parts[0]
	if all := m.Sounds; !slices.ContainsFunc(all, func(s hearing.Sound) bool { return s != all[0] }) {
		h.CutoffHz, h.TrackPercent, h.Wave = &first.CutoffHz, &first.TrackPercent, &first.Wave
	}
	return h
}

// Listen is [Result.Hear] within the usual budget.
func (r *Result) Listen(p *plan.Plan, song *midi.Song, played *study.Replay) error {
	l, err := p.Listen(song, played, study.NewBudget(plan.Listening))
	if err == nil {
		r.Hear(p, song, played, l)
	}
	return err
}

// Hear adds what is heard of the song that the result is of; see [plan.Plan.Listen].
func (r *Result) Hear(p *plan.Plan, song *midi.Song, played *study.Replay, l *plan.Listened) {
	if l == nil {
		return
	}
	r.Hearing, r.Demand.HeardDemand = newHearing(l.Given.Plan), heardDemand(l.Demand, l.Most)
	if l.Demand == nil {
		r.Hearing.Covered = append(r.Hearing.Covered, Coverage{"demand", 0, 1})
	}
	if l.Heard == nil {
		r.Hearing.Covered = append(r.Hearing.Covered, Coverage{"song", 0, 1})
		return
	}
	b := &builder{rig: p.Rig, cfg: &p.Rules.Config, song: song, replay: played, names: map[int]string{}}
	e := &ear{builder: b, Heard: l.Heard, given: l.Given.Reference}
	r.Losses = e.match(r.Losses)
	r.LostByBar = byBar(r.Losses)
	r.Heard = &Heard{HeardFigures: heardFigures(&l.Heard.Whole, true), Moments: e.moments(), Course: HeardCourse{seconds(hearing.Step), append([]float64{}, l.Heard.Course...)}, Order: e.places(l.Heard.Ranked()),
		WrongPitch: HeardOf{l.Heard.WrongPlain, l.Heard.WrongFaint}}
	for i := range r.Parts[:len(l.Heard.Parts)] { // a part that has some keys of another is heard with that
		figures := heardFigures(&l.Heard.Parts[i], true)
		r.Parts[i].Heard = &figures
	}
}

// ear puts what is heard beside the losses of a result.
type ear struct {
	*builder
	*hearing.Heard
	given  *study.Reference // what its notes are of
	listed map[int]int      // by what is heard: the loss that it is
}

// match gives each loss what is heard of it, if that is what ended the note, and
// returns the losses with all else that is heard, in the order of time.
func (e *ear) match(losses []Loss) []Loss {
	type listed struct {
		Loss
		heard int // −1: nothing
	}
	all, at := make([]listed, len(losses)), map[int]int{}
	for i, note := range e.lost() {
		ending := e.replay.Outcomes[note].Ending
		all[i], at[note] = listed{losses[i], -1}, i
		all[i].HeardOne = &HeardOne{Kind: kindOf(starts(ending))}
	}
	for i := range e.Losses {
		x := &e.Losses[i]
		place, ok := at[int(x.Played)]
		switch {
		case ok && ends(x.What, e.replay.Outcomes[x.Played].Ending):
			all[place].HeardOne, all[place].heard = heardOne(x), i
		case x.Heard:
			all = append(all, listed{e.flagged(x), i})
		}
	}
	slices.SortStableFunc(all, func(a, b listed) int { return cmp.Compare(a.AtS, b.AtS) })
	e.listed = map[int]int{}
	out := make([]Loss, len(all))
	for i := range all {
		if out[i] = all[i].Loss; all[i].heard >= 0 {
			e.listed[all[i].heard] = i
		}
	}
	return out
}

// starts tells whether an ending is a start that goes missing.
func starts(e study.Ending) bool {
	return e == study.Dropped || e == study.LateStart || e == study.BornCut
}

// ends tells whether what is wrong with a note is what its ending says.
func ends(what hearing.What, e study.Ending) bool {
	switch e {
	case study.Dropped:
		return what == hearing.Gone
	case study.LateStart:
		return what == hearing.Late
	}
	return what == hearing.Cut
}

func heardOne(x *hearing.Loss) *HeardOne {
	one := &HeardOne{Kind: kindOf(x.Starts)}
	if x.Heard {
		one.HeardDB = &x.Worst
	}
	return one
}

// Plain tells whether a loss is heard plainly.
func (h *HeardOne) Plain() bool { return h.HeardDB != nil && *h.HeardDB >= hearing.KeenEar.Plain }

// Plain tells whether a difference is heard plainly in a step of a course.
func (c *HeardCourse) Plain(step int) bool { return c.DB[step] >= hearing.KeenEar.Plain }

// Within tells whether a difference is heard in a window.
func (c *HeardCourse) Within(w Window) bool {
	for i, db := range c.DB {
		if from := float64(i) * c.StepS; db > 0 && from < w.To && from+c.StepS > w.From {
			return true
		}
	}
	return false
}

// kindOf names what of a note a loss is of.
func kindOf(start bool) string {
	if start {
		return "start"
	}
	return "end"
}

// flags name what is heard and no ending says.
var flags = map[hearing.What]string{hearing.Late: FlagLate, hearing.Thinned: FlagThinned, hearing.Cut: FlagCut, hearing.WrongPitch: FlagWrongPitch,
	hearing.LeftOut: FlagLeftOut, hearing.Altered: FlagAltered, hearing.HeldOn: FlagTooLong}

// Flags of losses that no ending says.
const (
	FlagLate       = "late"
	FlagThinned    = "thinned"
	FlagCut        = "cut"
	FlagWrongPitch = "wrong_pitch"
	FlagLeftOut    = "left_out" // by an override: the note is not played at all
	FlagAltered    = "altered"  // by an override: its release, unison or length is another
	FlagTooLong    = "too_long" // its gate stayed high for others
)

// flagged is something heard that the ending of its note does not say, at its start.
func (e *ear) flagged(x *hearing.Loss) Loss {
	n := &e.given.Notes[x.Note]
	l := Loss{AtS: seconds(n.Start), Key: n.Sounding, Ending: EndingName(study.Dropped), Cause: causeNames[alloc.CauseNone], HeardOne: heardOne(x)}
	l.Flag = new(flags[x.What])
	l.Bar, l.Part, l.KeyName = e.place(n)
	l.BarNumber, l.Beat = e.song.Meter.Beat(n.Tick)
	if x.Played == alloc.NoNote {
		return l
	}
	o := &e.replay.Outcomes[x.Played]
	l.Ending = EndingName(o.Ending)
	if x.What == hearing.Late {
		l.LateS = seconds(o.Late)
	}
	if o.Voice != alloc.NoVoice {
		l.Voice, l.VoiceName = new(o.Voice+1), &e.rig.Voices[o.Voice].Name
	}
	return l
}

// places are the losses that some of what is heard is.
func (e *ear) places(heard []int) []int {
	list := make([]int, len(heard))
	for i, x := range heard {
		list[i] = e.listed[x]
	}
	return list
}

func (e *ear) moments() []Moment {
	list := make([]Moment, len(e.Moments))
	for i := range e.Moments {
		m := &e.Moments[i]
		list[i] = Moment{AtS: seconds(m.From), LengthS: seconds(m.To - m.From), DB: m.Worst, BandHz: m.BandHz, Losses: e.places(m.Losses),
			Bar: e.song.Meter.Position(e.song.Tempo.Tick(m.From)).String()}
		slices.Sort(list[i].Losses)
	}
	return list
}
