package routing

import (
	"math"

	"choirloft/alloc"
	"choirloft/midi"
	"choirloft/profiles"
)

// Pitch in volts and back, for what an interface puts out before anything is
// corrected. Pitches are in keys: 60 is middle C, 60.5 a quarter tone above.
// They are not checked against the window.
//
// V/oct: V = (pitch − key at 0 V)/12 · volts per octave. Hz/V:
// the volts double with each octave, V = f/f_ref · V_ref, where f is the pitch
// in hertz, a4·2^((pitch − 69)/12).

// VoltsAt is what an interface puts out for a pitch. A4 is the pitch of key 69.
func VoltsAt(f *profiles.Interface, a4 profiles.Hertz, pitch float64) profiles.Volts {
	if f.Scale.HertzPerVolt() {
		hertz := float64(a4) * math.Exp2((pitch-a4Key)/12)
		return profiles.Volts(hertz/float64(f.Scale.Reference)) * f.Scale.At
	}
	return profiles.Volts((pitch-float64(f.ZeroKey))/12) * f.Scale.PerOctave
}

// PitchAt is the pitch for which an interface puts out so many volts. With
// hertz per volt it falls without end towards 0 V, and is −Inf from there.
func PitchAt(f *profiles.Interface, a4 profiles.Hertz, volts profiles.Volts) float64 {
	if f.Scale.HertzPerVolt() {
		hertz := float64(f.Scale.Reference) * max(0, float64(volts)) / float64(f.Scale.At)
		return a4Key + 12*math.Log2(hertz/float64(a4))
	}
	return float64(f.ZeroKey) + 12*float64(volts)/float64(f.Scale.PerOctave)
}

// StepCents is the step in cents between two volts that the converter of an
// interface can give: span·1200/2^bits by volts per octave. With
// hertz per volt the step upward from the pitch, larger the lower that is.
func StepCents(f *profiles.Interface, a4 profiles.Hertz, pitch float64) float64 {
	step := float64(f.Window.High-f.Window.Low) / math.Exp2(float64(f.Bits))
	if f.Scale.HertzPerVolt() {
		return 1200 * math.Log2(1+step/float64(VoltsAt(f, a4, pitch)))
	}
	return step * 1200 / float64(f.Scale.PerOctave)
}

// WindowOf is the pitches between the lowest and the highest volts of an
// interface.
func WindowOf(f *profiles.Interface, a4 profiles.Hertz) alloc.Window {
	return alloc.Window{Bounded: true, Low: snap(PitchAt(f, a4, f.Window.Low)), High: snap(PitchAt(f, a4, f.Window.High))}
}

// KeysWithin is the range of keys that the window of an interface reaches; ok
// is false if it reaches none.
func KeysWithin(f *profiles.Interface, a4 profiles.Hertz) (keys alloc.KeyRange, ok bool) {
	w := WindowOf(f, a4)
	low, high := max(0, math.Ceil(w.Low)), min(127, math.Floor(w.High))
	if low > high {
		return alloc.KeyRange{}, false
	}
	return alloc.KeyRange{Low: midi.Key(low), High: midi.Key(high)}, true
}

// a4Key is the key whose pitch a rig's a4 is.
const a4Key = 69

// snap takes away what arithmetic adds to a whole key, so that a key at the
// very edge of a window is inside.
func snap(pitch float64) float64 {
	if whole := math.Round(pitch); math.Abs(pitch-whole) < 1e-9 {
		return whole
	}
	return pitch
}
