package tuning

import (
	"math"

	"choirloft/profiles"
	"choirloft/routing"
	"choirloft/routing/detune"
)

// Effect is what corrections do to the voices of a unison: to one fixed stack,
// or to all voices of a part any of which may meet.
type Effect struct {
	Part   int
	Stack  int   // from 1; 0 where any voices may meet
	Voices []int // indexes into Rig.Voices
	Key    float64
	// Asked is the detune of each voice, in cents; nil where any may meet.
	Asked         []detune.Cents
	Before, After Tuned
}

// Tuned is how voices stand that were meant to stand at some detune.
type Tuned struct {
	// Errors is by how many cents each voice is sharp of what was meant; NaN
	// where no reading says.
	Errors  []float64
	Unknown int     // how many those are
	Worst   float64 // largest difference of two errors, in cents: by so much a gap may be off
	Slowest detune.Hertz
	// Spread is the width of the stack as it stands, lowest to highest; 0 where
	// any voices may meet. Slowest is its slowest beat that there is.
	Spread float64
}

// Move is what the pitch jack of a voice puts out for a key.
type Move struct {
	Voice         int
	Key           int
	Before, After profiles.Volts
}

// Effects says what the corrections do to each unison. With them, before is the
// rig as it is and after the rig with the new corrections.
func (r *Result) Effects(after *profiles.Rig) (all []Effect) {
	m := routing.NewMap(r.Rig)
	now, then := routing.Corrections(r.Rig), routing.Corrections(after)
	for i := range m.Unisons {
		u := &m.Unisons[i]
		key := float64(u.Keys[1].Key)
		if len(u.Stacks) == 0 {
			e := Effect{Part: u.Part, Voices: m.Players(u.Part), Key: key}
			e.Before, e.After = r.tuned(&e, now), r.tuned(&e, then)
			all = append(all, e)
			continue
		}
		for n, stack := range u.Stacks {
			e := Effect{Part: u.Part, Stack: n + 1, Voices: stack, Key: key, Asked: u.Keys[1].Cents}
			e.Before, e.After = r.tuned(&e, now), r.tuned(&e, then)
			all = append(all, e)
		}
	}
	return all
}

// tuned says how the voices of a stack stand with some corrections.
func (r *Result) tuned(e *Effect, corrections []profiles.Correction) Tuned {
	t := Tuned{Errors: make([]float64, len(e.Voices))}
	low, high := math.Inf(1), math.Inf(-1)
	stands := make([]detune.Cents, 0, len(e.Voices))
	for i, voice := range e.Voices {
		asked := 0.0
		if e.Asked != nil {
			asked = float64(e.Asked[i])
		}
		cents, ok := r.errorOf(voice, e.Key+asked/100, &corrections[voice])
		if !ok {
			t.Errors[i] = math.NaN()
			t.Unknown++
			continue
		}
		t.Errors[i] = cents
		low, high = min(low, cents), max(high, cents)
		stands = append(stands, detune.Cents(asked+cents))
	}
	if len(stands) > 1 {
		t.Worst = high - low
		if e.Asked != nil {
			t.beat(stands, detune.Frequency(detune.Hertz(r.Rig.A4), e.Key))
		}
	}
	return t
}

func (t *Tuned) beat(stands []detune.Cents, f detune.Hertz) {
	low, high := stands[0], stands[0]
	for _, c := range stands {
		low, high = min(low, c), max(high, c)
	}
	t.Spread = float64(high - low)
	if b, err := detune.BeatsOf(stands, f); err == nil { // cannot be: cents are in reach
		t.Slowest = b.Slowest.Beat
	}
}

// errorOf is by how many cents a voice is sharp; ok is false where no reading
// says.
func (r *Result) errorOf(voice int, pitch float64, c *profiles.Correction) (float64, bool) {
	for _, v := range r.Voices {
		if v.Voice == voice && v.Box != nil {
			return v.errorAt(pitch, r.Rig.A4, c)
		}
	}
	return 0, false
}

// Moves says what the map's volts become, for each corrected voice at the
// lowest and the highest key that it has volts for and at each C between them.
func (r *Result) Moves(after *profiles.Rig) (all []Move) {
	now, then := routing.Corrections(r.Rig), routing.Corrections(after)
	m := routing.NewMap(r.Rig)
	for _, v := range r.Voices {
		if v.Correction == nil {
			continue
		}
		for _, k := range m.Voices[v.Voice].Keys {
			pitch := float64(k.Key)
			all = append(all, Move{v.Voice, int(k.Key),
				routing.CorrectedVolts(v.Box, r.Rig.A4, &now[v.Voice], pitch),
				routing.CorrectedVolts(v.Box, r.Rig.A4, &then[v.Voice], pitch)})
		}
	}
	return all
}
