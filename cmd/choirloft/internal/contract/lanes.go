package contract

import (
	"math"
	"time"

	"choirloft/alloc/study"
	"choirloft/midi"
	"choirloft/routing/plan"
)

// Lanes is what each voice plays when, and how many voices are wanted when:
// what a picture of a song is drawn from.
type Lanes struct {
	Seconds float64     `json:"seconds"` // of the song
	Voices  []LaneVoice `json:"voices"`  // all of the rig, in order
	Parts   []string    `json:"parts"`
	Spans   []LaneSpan  `json:"spans"` // by voice, then by time
	Held    []DepthStep `json:"held"`  // voices wanted for keys that are down
	Pedal   []DepthStep `json:"pedal"` // for those and what a pedal keeps
	Audible []DepthStep `json:"audible"`
	Bars    []BarLine   `json:"bars"` // the second, in a song without bars
	HasBars bool        `json:"has_bars"`
	MiddleC int         `json:"middle_c"` // the octave of key 60
}

// LaneVoice is the voice of a lane.
type LaneVoice struct {
	Name  string `json:"name"`
	Bank  string `json:"bank"`
	State string `json:"state"`
}

// LaneSpan is one note on one voice: its key is down from StartS to UpS, a pedal
// keeps the gate high to LowS, and the tail is heard to EndS.
type LaneSpan struct {
	Voice   int    `json:"voice"` // from 1
	Note    int    `json:"note"`  // from 0
	Part    int    `json:"part"`  // place in Parts
	Key     int    `json:"key"`
	KeyName string `json:"key_name"`
	// SoundsName is the key that sounds instead, where its pitch is a semitone or more off.
	SoundsName string  `json:"sounds_name,omitempty"`
	StartS     float64 `json:"start_s"`
	UpS        float64 `json:"up_s"`
	LowS       float64 `json:"low_s"`
	EndS       float64 `json:"end_s"`
	// Ending is how the note ended if it lost this voice, else empty. WantedS is until
	// when it would have been heard then, its tail included; 0 else.
	Ending  string  `json:"ending"`
	WantedS float64 `json:"wanted_s,omitempty"`
	// WaitedS is how long the note waited for its unison before StartS, and
	// LateStart tells whether that is its ending.
	WaitedS   float64 `json:"waited_s"`
	LateStart bool    `json:"late_start"`
}

// Wants is how many voices are wanted when, beside those that may be used.
type Wants struct {
	Held    []DepthStep
	Pedal   []DepthStep
	Audible []DepthStep
	Voices  int // in service
}

// NewWants is what a part of a song that was played wants, by its place.
func NewWants(p *plan.Plan, r *study.Replay, part int) *Wants {
	held, pedal, audible := r.Reference.WantedBy(p.Rules.Config, part)
	return &Wants{depthSteps(held), depthSteps(pedal), depthSteps(audible), r.Parts[part].Voices}
}

// DepthStep is how many voices are wanted from a time on.
type DepthStep struct {
	AtS    float64 `json:"at_s"`
	Voices int     `json:"voices"`
}

// BarLine is where a bar begins.
type BarLine struct {
	Bar int     `json:"bar"`
	AtS float64 `json:"at_s"`
	// Beats are how many it has; frames, in a song without bars.
	Beats int `json:"beats,omitempty"`
}

// NewLanes returns what a song's picture is drawn from.
func NewLanes(p *plan.Plan, song *midi.Song, r *study.Replay, spans []study.Span) *Lanes {
	b := &builder{rig: p.Rig, cfg: &p.Rules.Config, song: song, replay: r, names: map[int]string{}}
	out := &Lanes{Seconds: seconds(r.Reference.End), HasBars: !song.Meter.Division().SMPTE(), MiddleC: int(p.Rig.MiddleC), Parts: []string{},
		Voices: make([]LaneVoice, len(p.Rig.Voices)), Spans: make([]LaneSpan, len(spans))}
	for i, v := range p.Rig.Voices {
		out.Voices[i] = LaneVoice{v.Name, p.Rig.Banks[v.Bank].Name, stateNames[b.cfg.Voices[i].State]}
	}
	for i := range p.Rig.Parts {
		out.Parts = append(out.Parts, p.Rig.Parts[i].Name)
	}
	for i := range spans {
		out.Spans[i] = b.span(&spans[i])
	}
	held, pedal, audible := r.Reference.Wanted(p.Rules.Config)
	out.Held, out.Pedal, out.Audible = depthSteps(held), depthSteps(pedal), depthSteps(audible)
	out.Bars = b.barLines()
	return out
}

// semitone is in cents.
const semitone = 100

func (b *builder) span(s *study.Span) LaneSpan {
	n, o := &b.replay.Reference.Notes[s.Note], &b.replay.Outcomes[s.Note]
	out := LaneSpan{Voice: s.Voice + 1, Note: int(s.Note), Part: n.Part, Key: n.Sounding, KeyName: b.keyName(n.Sounding),
		StartS: seconds(s.Start), UpS: seconds(s.Up), LowS: seconds(s.Low), EndS: seconds(s.End)}
	if math.Round(math.Abs(s.Missed)) >= semitone {
		out.SoundsName = b.keyName(int(math.Round(s.Pitch)))
	}
	if s.Start == n.Start+o.Waited { // not where an elastic note takes a voice back
		out.WaitedS, out.LateStart = seconds(o.Waited), o.Ending == study.LateStart
	}
	if s.Taken && o.At == s.End && isLoss(o.Ending) {
		out.Ending, out.WantedS = EndingName(o.Ending), seconds(n.TailEnd)
	}
	return out
}

func depthSteps(wanted []study.Interval) []DepthStep {
	steps := study.DepthSteps(wanted)
	list := make([]DepthStep, len(steps))
	for i, s := range steps {
		list[i] = DepthStep{seconds(s.At), s.Depth}
	}
	return list
}

// mostBarLines is how many bar lines are given: no picture has more.
const mostBarLines = 10_000

func (b *builder) barLines() []BarLine {
	list := []BarLine{}
	last := time.Duration(-1)
	for n := 1; n <= mostBarLines; n++ {
		at := b.song.Tempo.At(b.song.Meter.Bar(n))
		if at > b.replay.Reference.End || at <= last {
			break
		}
		_, beat := b.song.Meter.Beat(b.song.Meter.Bar(n+1) - 1)
		list = append(list, BarLine{n, seconds(at), int(beat)})
		last = at
	}
	return list
}
