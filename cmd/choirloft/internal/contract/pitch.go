package contract

import (
	"choirloft/routing/detune"
	"choirloft/routing/plan"
)

// Pitch is how far the pitch of one voice may stray, and why.
type Pitch struct {
	Version     int      `json:"version"`
	Rig         string   `json:"rig"`
	Fingerprint string   `json:"fingerprint"`
	Summary     string   `json:"summary"`
	MiddleC     int      `json:"middle_c"`
	Voice       string   `json:"voice"`
	Pitch       *Jack    `json:"pitch"`    // null without a jack
	LowKey      int      `json:"low_key"`  // that it plays
	HighKey     int      `json:"high_key"` // that it plays
	Budget      *Budget  `json:"budget"`   // null where no pitch reaches it
	Curve       []Strays `json:"curve"`    // key by key
	// SettledMS is how long a new CV takes from one end of the keys to within 3 cents of the
	// other; null where nobody says.
	SettledMS *float64 `json:"settled_ms"`
	// FlattensFrom is the first key above 2 kHz that it plays: oscillators go flat there,
	// by how much is not in the budget. Null where it plays none.
	FlattensFrom *int `json:"flattens_from"`
}

// Strays is how far a voice may stray at a key.
type Strays struct {
	Key         int      `json:"key"`
	ShiftCents  float64  `json:"shift_cents"`  // of what is known, with its sign
	LikelyCents *float64 `json:"likely_cents"` // null where it is not known before it is measured
	WorstCents  *float64 `json:"worst_cents"`
}

// flattens is from which pitch on oscillators go flat, in hertz: common practice.
const flattens = 2000

// NewPitch returns the pitch of a voice, an index into the voices of the rig.
func NewPitch(p *plan.Plan, voice int) *Pitch {
	b := mapper{p.Rig, p.Map, map[string]float64{}}
	v := b.voice(voice, p.Rules.Config.Voices[voice].State)
	out := &Pitch{Version: Version, Rig: p.Rig.Name, Fingerprint: p.Code(), MiddleC: int(p.Rig.MiddleC), Voice: v.Name, Pitch: v.Pitch,
		Budget: v.Budget, Curve: []Strays{}}
	if v.Budget == nil {
		return out
	}
	out.LowKey, out.HighKey = p.Map.Played(voice)
	for key := out.LowKey; key <= out.HighKey; key++ {
		at := p.Map.At(voice, key)
		s := Strays{Key: key, ShiftCents: at.Shift()}
		if len(at.Unknown) == 0 {
			s.LikelyCents, s.WorstCents = new(b.likely(at)), new(at.Worst())
		}
		out.Curve = append(out.Curve, s)
		if out.FlattensFrom == nil && detune.Frequency(detune.Hertz(p.Rig.A4), float64(key)) > flattens {
			out.FlattensFrom = &key
		}
	}
	if settled := p.Map.Settled(voice); settled > 0 {
		out.SettledMS = new(float64(settled) / 1e6)
	}
	return out
}
