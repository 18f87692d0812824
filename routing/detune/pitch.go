package detune

import (
	"fmt"
	"math"
)

type (
	// Cents are hundredths of an equal-tempered semitone, 1200 an octave.
	// Above 0 is sharp.
	Cents float64
	// Hertz are cycles per second.
	Hertz float64
	// Seconds are a period. They are no time.Duration, as the beat of two
	// nearly equal pitches may last longer than that can hold.
	Seconds float64
)

// Frequency is the pitch of a MIDI key, a4·2^((key−69)/12), where a4 is the
// pitch of key 69. Key 60 is middle C; fractions of a key are allowed.
func Frequency(a4 Hertz, key float64) Hertz {
	return a4 * Hertz(math.Exp2((key-69)/12))
}

// Delta is how many hertz a pitch f moves by c cents: f·(2^(c/1200) − 1). It
// keeps its precision for the smallest detunes.
func Delta(f Hertz, c Cents) Hertz {
	return f * Hertz(math.Expm1(float64(c)*math.Ln2/1200))
}

// CentsOfBeat is the detune that beats b times a second against a pitch f:
// 1200·log2(1 + b/f), below 0 for a voice that is flat. It turns Delta around.
// f is above 0 and b above −f; otherwise the result is no finite number.
func CentsOfBeat(f, b Hertz) Cents {
	return Cents(1200 / math.Ln2 * math.Log1p(float64(b/f)))
}

// The ends of a Scaling's exponent.
const (
	ConstantCents = 0.0 // the same detune at every key: beats double with each octave
	ConstantHertz = 1.0 // about the same beats at every key: the detune halves with each octave
)

// Scaling says how a detune changes over the keys. At a pitch f a detune of c
// cents becomes
//
//	c·(Reference/f)^Exponent
//
// so at the reference all scalings agree. Its zero value keeps the cents.
//
// In between, beats grow with the keys, but slower than their pitch: with ½ they
// grow by √2 an octave. ConstantHertz is constant to first order: over a detune
// of c cents the beat departs by the share c·ln2/2400, 0.3 % for 10 cents.
type Scaling struct {
	Exponent  float64 // ConstantCents to ConstantHertz
	Reference Hertz   // above 0, such as the pitch of the part's middle key; not needed for ConstantCents
}

// Check says what is wrong with a scaling.
func (s Scaling) Check() error {
	if !(s.Exponent >= ConstantCents && s.Exponent <= ConstantHertz) {
		return fmt.Errorf("found an exponent of %g, want 0 (constant cents) to 1 (constant hertz)", s.Exponent)
	}
	if s.Exponent != ConstantCents && !positive(s.Reference) {
		return fmt.Errorf("found a reference of %g Hz, want a pitch above 0", float64(s.Reference))
	}
	return nil
}

// At is the detune c at a key whose pitch is f, above 0.
func (s Scaling) At(c Cents, f Hertz) Cents {
	if s.Exponent == ConstantCents {
		return c
	}
	return c * Cents(math.Pow(float64(s.Reference/f), s.Exponent))
}

// Stack is a whole stack's detune at a key whose pitch is f, above 0.
func (s Scaling) Stack(stack []Cents, f Hertz) []Cents {
	at := make([]Cents, len(stack))
	for i, c := range stack {
		at[i] = s.At(c, f)
	}
	return at
}

// positive tells whether a pitch is a finite number above 0.
func positive(f Hertz) bool { return f > 0 && !math.IsInf(float64(f), 0) }

// widest bounds a detune in cents, for sums that stay finite: 250
// octaves, which only a scaling far below its reference can ask for.
const widest = 3e5

// checkStack refuses detunes that are no numbers or absurdly large.
func checkStack(stack []Cents) error {
	for i, c := range stack {
		if !(c >= -widest && c <= widest) {
			return fmt.Errorf("position %d: found a detune of %g cents, want a number within ±%g", i, float64(c), widest)
		}
	}
	return nil
}
