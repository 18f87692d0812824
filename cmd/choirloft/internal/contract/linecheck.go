package contract

import (
	"choirloft/routing/deal"
)

// LineCheck is the page of a file that plays every voice in turn: what should
// be heard, and when.
type LineCheck struct {
	Version     int          `json:"version"`
	Rig         string       `json:"rig"`
	Fingerprint string       `json:"fingerprint"`
	Summary     string       `json:"summary"`
	File        string       `json:"file"`
	Seconds     float64      `json:"seconds"`
	Lines       []CheckLine  `json:"lines"`  // voices, in this order
	Stacks      []CheckStack `json:"stacks"` // then unisons
	Silent      []string     `json:"silent"` // voices out of service
	Findings    []Finding    `json:"findings"`
	MiddleC     int          `json:"middle_c"` // the octave of key 60
}

// CheckLine is one voice.
type CheckLine struct {
	Bar   int     `json:"bar"`
	AtS   float64 `json:"at_s"`
	Name  string  `json:"name"`
	State string  `json:"state"`
	Pitch *Jack   `json:"pitch"`
	Gate  *Jack   `json:"gate"`
	Key   int     `json:"key"`  // of the strokes
	Keys  []int   `json:"keys"` // of the octaves
}

// CheckStack is one unison, its voices by position.
type CheckStack struct {
	Bar    int       `json:"bar"`
	AtS    float64   `json:"at_s"`
	Part   string    `json:"part"`
	Stack  *int      `json:"stack"` // null where any voices may meet
	Key    int       `json:"key"`
	Voices []string  `json:"voices"`
	Cents  []float64 `json:"detune_cents"`
}

// NewLineCheck returns the page of a line check that was written to a file.
func NewLineCheck(c *deal.Check, file string) *LineCheck {
	rig := c.Plan.Rig
	b := mapper{rig, c.Plan.Map, map[string]float64{}}
	out := &LineCheck{Version: Version, Rig: rig.Name, Fingerprint: c.Plan.Code(), File: file, Seconds: c.Seconds,
		Silent: append([]string{}, b.names(c.Silent)...), Stacks: []CheckStack{}, Findings: newFindings(c.Plan.Findings), MiddleC: int(rig.MiddleC)}
	for _, l := range c.Lines {
		v := b.voice(l.Voice, c.Plan.Rules.Config.Voices[l.Voice].State)
		line := CheckLine{Bar: l.Bar, AtS: seconds(l.At), Name: v.Name, State: v.State, Pitch: v.Pitch, Gate: v.Gate,
			Key: int(l.Key), Keys: []int{}}
		for _, k := range l.Keys {
			line.Keys = append(line.Keys, int(k))
		}
		out.Lines = append(out.Lines, line)
	}
	for _, s := range c.Stacks {
		stack := CheckStack{Bar: s.Bar, AtS: seconds(s.At), Part: rig.Parts[s.Part].Name, Key: int(s.Key),
			Voices: []string{}, Cents: []float64{}}
		if s.Stack > 0 {
			stack.Stack = &s.Stack
		}
		for _, v := range s.Voices {
			stack.Voices, stack.Cents = append(stack.Voices, rig.Voices[v.Voice].Name), append(stack.Cents, float64(v.Detune))
		}
		out.Stacks = append(out.Stacks, stack)
	}
	return out
}
