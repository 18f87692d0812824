package tuning

import (
	"math"

	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing"
)

// Usable are the keys at which a voice is in tune.
type Usable struct {
	Low, High midi.Key
	OK        bool
	// Worst is the largest error at a key between the lowest and the highest
	// reading that the window reaches, in cents, with its sign, and Judged is how
	// many such keys there are. WorstAt is the key.
	Worst   float64
	WorstAt midi.Key
	Judged  int
}

// usable is the longest run of keys at which the voice is within so many cents,
// the lowest of equally long ones, with a correction. Only keys between the lowest and the highest reading count, and
// only where the interface reaches the volts.
func (v *Voice) usable(within float64, a4 profiles.Hertz, c *profiles.Correction) (best Usable) {
	run := Usable{}
	worst, at, judged := 0.0, midi.Key(0), 0
	for key := 0; key <= 127; key++ {
		cents, ok := v.errorAt(float64(key), a4, c)
		if ok {
			judged++
			if math.Abs(cents) > math.Abs(worst) {
				worst, at = cents, midi.Key(key)
			}
		}
		switch {
		case !ok || math.Abs(cents) > within+edge:
			run.OK = false
			continue
		case !run.OK:
			run = Usable{Low: midi.Key(key), OK: true}
		}
		run.High = midi.Key(key)
		if !best.OK || run.High-run.Low > best.High-best.Low {
			best = run
		}
	}
	best.Worst, best.WorstAt, best.Judged = worst, at, judged
	return best
}

// errorAt is by how many cents the voice is sharp at a pitch, read off between
// its points; ok is false where there is nothing to read it off, or where the
// window ends. Where only the correction would pass the window, the interface
// gives the volts at its end.
func (v *Voice) errorAt(pitch float64, a4 profiles.Hertz, c *profiles.Correction) (cents float64, ok bool) {
	ideal, window := routing.VoltsAt(v.Box, a4, pitch), v.Box.Window
	if ideal < window.Low-edge || ideal > window.High+edge {
		return 0, false
	}
	sounds, ok := v.sounds(max(window.Low, min(window.High, c.Apply(ideal))), a4)
	return 100 * (sounds - pitch), ok
}

// sounds is the pitch, in keys, that the voice gives for some volts: the volts
// as the interface means them and, between two readings, the straight line
// between what they were off.
func (v *Voice) sounds(volts profiles.Volts, a4 profiles.Hertz) (pitch float64, ok bool) {
	ideal := routing.PitchAt(v.Box, a4, volts)
	n := len(v.Points)
	// a key at the lowest or the highest reading counts, also when its correction
	// reaches a little beyond it
	const beyond = 0.25 // keys
	if n == 0 || !(ideal >= v.Points[0].Ideal-beyond && ideal <= v.Points[n-1].Ideal+beyond) {
		return 0, false
	}
	if n == 1 {
		return ideal + v.Points[0].cents()/100, true
	}
	i := 1
	for i < n-1 && v.Points[i].Ideal < ideal {
		i++
	}
	a, b := v.Points[i-1], v.Points[i]
	cents := a.cents() + (b.cents()-a.cents())*(ideal-a.Ideal)/(b.Ideal-a.Ideal)
	return ideal + cents/100, true
}
