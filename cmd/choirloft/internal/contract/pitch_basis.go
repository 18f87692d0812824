package contract

import (
	"choirloft/profiles"
	"choirloft/routing"
)

// PitchBasis is what the tuning errors of a map rest on, and how far it moves
// them.
type PitchBasis struct {
	WorstCents float64 `json:"worst_cents"` // of the voice furthest off
	// KnownCents is the same without all that is assumed.
	KnownCents float64      `json:"known_cents"`
	Causes     []PitchCause `json:"causes"` // that move some voice at all
	// DriftUnknown are the voices of which a correction says what it leaves, and
	// nobody says the drift: it is left out.
	DriftUnknown []string `json:"drift_unknown"`
}

// PitchCause is one cause of tuning errors.
type PitchCause struct {
	Cause      string  `json:"cause"`       // step, load, multiples, calibration, drift
	WorstCents float64 `json:"worst_cents"` // of the voice that it moves furthest
	Source     Source  `json:"source"`      // the weakest of all voices
	Voices     int     `json:"voices"`      // that it moves
	Assumed    int     `json:"assumed"`     // of them: those for which it is assumed
}

// pitchBasis adds the budgets of all voices up.
func (b mapper) pitchBasis() *PitchBasis {
	causes := []PitchCause{{Cause: "step"}, {Cause: "load"}, {Cause: "multiples"}, {Cause: "calibration"}, {Cause: "drift"}}
	out := &PitchBasis{Causes: []PitchCause{}, DriftUnknown: []string{}}
	corrections := routing.Corrections(b.rig)
	for i := range b.m.Voices {
		budget := b.m.Voices[i].Budget
		if budget == nil {
			continue
		}
		sources := [...]Source{Measured, FromRig, FromRig, Measured, b.driftSource(i, &corrections[i])}
		known := 0.0
		for j, s := range [...]routing.Stray{budget.Step, budget.Loading, budget.Buffers, budget.Calibration, budget.Drift} {
			if s.Assumed {
				sources[j] = Assumed
			} else {
				known += float64(s.Worst)
			}
			causes[j].add(float64(s.Worst), sources[j])
		}
		out.WorstCents, out.KnownCents = max(out.WorstCents, float64(budget.Worst())), max(out.KnownCents, known)
		if budget.Drift.Sigma == 0 && sources[4] == Assumed {
			out.DriftUnknown = append(out.DriftUnknown, b.rig.Voices[i].Name)
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
func (c *PitchCause) add(worst float64, source Source) {
	if worst == 0 {
		return
	}
	if c.Voices++; c.Voices == 1 {
		c.Source = source
	}
	c.Source, c.WorstCents = weaker(c.Source, source), max(c.WorstCents, worst)
	if source == Assumed {
		c.Assumed++
	}
}

// driftSource tells where the drift of a voice comes from: a correction is
// measured.
func (b mapper) driftSource(voice int, c *profiles.Correction) Source {
	if c.Drift != nil {
		return Measured
	}
	return kindSource(b.rig, &b.rig.Kinds[b.rig.Banks[b.rig.Voices[voice].Bank].Kind], profiles.MeasuredDrift)
}
