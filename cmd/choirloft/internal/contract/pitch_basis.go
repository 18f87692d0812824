package contract

import (
	"choirloft/routing"
)

// PitchBasis is what the tuning errors of a map rest on, and how far it moves
// them.
type PitchBasis struct {
	WorstCents  float64 `json:"worst_cents"`  // of the voice furthest off: 99.9 % stay within
	LikelyCents float64 `json:"likely_cents"` // of the same voice: 95 % stay within
	Voice       string  `json:"voice"`        // that voice, and
	AtKey       int     `json:"at_key"`       // the key where it is so far off
	// KnownCents is the worst without all that is assumed.
	KnownCents float64      `json:"known_cents"`
	Causes     []PitchCause `json:"causes"` // that move some voice at all
	// DriftUnknown are the voices of which a correction says what it leaves, and
	// nobody says the drift: it is assumed.
	DriftUnknown []string `json:"drift_unknown"`
	// DriftDays are the days on which drift was measured, the most of any voice; 0 for none.
	DriftDays int `json:"drift_days"`
	// Unknown are the voices whose tuning error nobody can tell before it is measured.
	Unknown []string `json:"unknown"`
}

// PitchCause is one cause of tuning errors.
type PitchCause struct {
	// Cause is step, interface, load, normal, multiples, tracking, calibration, clamping or drift.
	Cause      string  `json:"cause"`
	WorstCents float64 `json:"worst_cents"` // of the voice that it moves furthest
	Source     Source  `json:"source"`      // the weakest of all voices
	Voices     int     `json:"voices"`      // that it moves
	Assumed    int     `json:"assumed"`     // of them: those for which it is assumed
}

// pitchBasis adds the budgets of all voices up.
func (b mapper) pitchBasis() *PitchBasis {
	causes := []PitchCause{{Cause: "step"}, {Cause: "interface"}, {Cause: "load"}, {Cause: "normal"}, {Cause: "multiples"}, {Cause: "tracking"}, {Cause: "calibration"},
		{Cause: "clamping"}, {Cause: "drift"}}
	out := &PitchBasis{Causes: []PitchCause{}, DriftUnknown: []string{}, Unknown: []string{}}
	corrections := routing.Corrections(b.rig)
	for i := range b.m.Voices {
		budget, name := b.m.Voices[i].Budget, b.rig.Voices[i].Name
		if budget == nil {
			continue
		}
		for j := range causes {
			causes[j].add(budget.Of(causesOf[j]...))
		}
		out.KnownCents = max(out.KnownCents, budget.Known())
		if corrections[i].Residual != nil && budget.Of(routing.Drift).Assumed {
			out.DriftUnknown = append(out.DriftUnknown, name)
		}
		if corrections[i].Drift != nil {
			out.DriftDays = max(out.DriftDays, corrections[i].Days)
		}
		if len(budget.Unknown) > 0 {
			out.Unknown = append(out.Unknown, name)
		} else if worst := budget.Worst(); worst > out.WorstCents {
			out.WorstCents, out.LikelyCents, out.Voice, out.AtKey = worst, b.likely(budget), name, budget.Key
		}
	}
	for _, c := range causes {
		if c.Voices > 0 {
			out.Causes = append(out.Causes, c)
		}
	}
	return out
}

// add counts a voice that the cause moves.
func (c *PitchCause) add(s routing.Stray) {
	if !s.Counted {
		return
	}
	source := basisSources[s.Basis]
	if c.Voices++; c.Voices == 1 {
		c.Source = source
	}
	c.Source, c.WorstCents = weaker(c.Source, source), max(c.WorstCents, s.Worst)
	if source == Assumed {
		c.Assumed++
	}
}

var basisSources = [...]Source{routing.Measured: Measured, routing.Given: FromRig, routing.Assumed: Assumed}
