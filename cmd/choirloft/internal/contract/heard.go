package contract

import (
	"slices"

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
}

// Heard is what is heard of a song that was played.
type Heard struct {
	HeardFigures
	Moments    []Moment `json:"moments"` // in the order of time
	WrongPitch HeardOf  `json:"wrong_pitch"`
	// Unlisted are those that are heard and stand in no loss of the result, such as
	// notes that begin late, in the order of the notes.
	Unlisted []Unlisted `json:"unlisted"`
}

// HeardOf counts what is heard: plainly, and at all.
type HeardOf struct {
	Plain int `json:"plain"`
	Faint int `json:"faint"`
}

// Moment is a time in which something is heard to be missing.
type Moment struct {
	AtS      float64 `json:"at_s"`
	Bar      string  `json:"bar"` // bar:beat:tick
	LengthS  float64 `json:"length_s"`
	DB       float64 `json:"db"`      // the largest difference in it
	BandHz   float64 `json:"band_hz"` // the centre of the band in which most is missing
	Losses   []int   `json:"losses"`  // indexes of losses that are heard then
	Unlisted []int   `json:"unlisted"`
}

// Unlisted is something heard that is no loss of the result.
type Unlisted struct {
	Flag    string  `json:"flag"` // late, wrong_pitch, thinned, cut; left_out, altered: by an override
	AtS     float64 `json:"at_s"` // of the note's start
	Bar     string  `json:"bar"`
	Part    string  `json:"part"`
	Key     int     `json:"key"` // as it should sound
	KeyName string  `json:"key_name"`
	HeardOne
}

// HeardOne is how much is heard of one loss.
type HeardOne struct {
	HeardDB *float64 `json:"heard_db"` // null where it is not heard
	Kind    string   `json:"kind"`     // start, end: which of the note is missing or wrong
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
		WorstDB: v.Worst}
	if counted {
		h.Plain, h.Faint = &v.Plainly, &v.Losses
	}
	return h
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
	e := &ear{builder: b, Heard: l.Heard, given: l.Given.Reference, result: r, listed: make([]int, len(l.Heard.Losses)), unlisted: make([]int, len(l.Heard.Losses))}
	e.match()
	r.Heard = &Heard{HeardFigures: heardFigures(&l.Heard.Whole, true), Moments: e.moments(), Unlisted: e.others,
		WrongPitch: HeardOf{l.Heard.WrongPlain, l.Heard.WrongFaint}}
	for i := range r.Parts {
		figures := heardFigures(&l.Heard.Parts[i], true)
		r.Parts[i].Heard = &figures
	}
}

// ear puts what is heard beside the losses of a result.
type ear struct {
	*builder
	*hearing.Heard
	given    *study.Reference // what its notes are of
	result   *Result
	listed   []int // by what is heard: the loss that it is; −1
	unlisted []int // or its place among others; −1
	others   []Unlisted
}

// match finds the loss that each of what is heard belongs to: that of its note, if it
// is what ended it.
func (e *ear) match() {
	at := map[int]int{}
	for place, note := range e.builder.lost() {
		at[note] = place
		ending := e.replay.Outcomes[note].Ending
		e.result.Losses[place].HeardOne = &HeardOne{Kind: kindOf(ending == study.Dropped || ending == study.LateStart || ending == study.BornCut)}
	}
	e.others = []Unlisted{}
	for i := range e.Heard.Losses {
		x := &e.Heard.Losses[i]
		place, ok := at[int(x.Played)]
		e.listed[i], e.unlisted[i] = -1, -1
		switch {
		case ok && ends(x.What, e.replay.Outcomes[x.Played].Ending):
			e.listed[i] = place
			*e.result.Losses[place].HeardOne = heardOne(x)
		case x.Heard:
			e.unlisted[i] = len(e.others)
			e.others = append(e.others, e.other(x))
		}
	}
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

func heardOne(x *hearing.Loss) HeardOne {
	one := HeardOne{Kind: kindOf(x.Starts)}
	if x.Heard {
		one.HeardDB = &x.Worst
	}
	return one
}

// kindOf names what of a note a loss is of.
func kindOf(start bool) string {
	if start {
		return "start"
	}
	return "end"
}

// flags name what is heard and stands in no loss.
var flags = map[hearing.What]string{hearing.Late: "late", hearing.Thinned: "thinned", hearing.Cut: "cut", hearing.WrongPitch: "wrong_pitch",
	hearing.LeftOut: "left_out", hearing.Altered: "altered"}

func (e *ear) other(x *hearing.Loss) Unlisted {
	n := &e.given.Notes[x.Note]
	u := Unlisted{Flag: flags[x.What], AtS: seconds(n.Start), Key: n.Sounding, HeardOne: heardOne(x)}
	u.Bar, u.Part, u.KeyName = e.place(n)
	return u
}

func (e *ear) moments() []Moment {
	list := make([]Moment, len(e.Moments))
	for i := range e.Moments {
		m := &e.Moments[i]
		out := Moment{AtS: seconds(m.From), LengthS: seconds(m.To - m.From), DB: m.Worst, BandHz: m.BandHz, Losses: []int{}, Unlisted: []int{},
			Bar: e.song.Meter.Position(e.song.Tempo.Tick(m.From)).String()}
		for _, x := range m.Losses {
			if e.listed[x] >= 0 {
				out.Losses = append(out.Losses, e.listed[x])
			} else {
				out.Unlisted = append(out.Unlisted, e.unlisted[x])
			}
		}
		slices.Sort(out.Losses)
		list[i] = out
	}
	return list
}
