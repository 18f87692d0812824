package circuit

import (
	"math"

	"choirloft/profiles"
)

// Load is an output and the inputs that hang on it, all in parallel: those of
// a passive multiple, or a single one.
type Load struct {
	Source profiles.Ohms   // of the output, from 0; 0 where the resistor is inside the loop
	Inputs []profiles.Ohms // each above 0
	// Assumed: nobody gave one of these resistances.
	Assumed bool
}

// conductance is that of all inputs together, in siemens.
func (l Load) conductance() float64 {
	sum := 0.0
	for _, r := range l.Inputs {
		sum += 1 / float64(r)
	}
	return sum
}

// Gain is the share of the output's voltage that reaches the inputs, above 0
// and at most 1: 1/(1 + N·Rs/Rin) for N inputs alike. It is 1 without inputs,
// and whenever the output has no resistance.
func (l Load) Gain() float64 { return 1 / (1 + float64(l.Source)*l.conductance()) }

// Calibrated is the load of so many inputs on the same output, from 0: each
// like the mean (in siemens) of those there are.
func (l Load) Calibrated(inputs int) Load {
	c := Load{Source: l.Source}
	if len(l.Inputs) == 0 {
		return c
	}
	mean := profiles.Ohms(float64(len(l.Inputs)) / l.conductance())
	for range inputs {
		c.Inputs = append(c.Inputs, mean)
	}
	return c
}

// Bend is how many cents per octave a pitch moves when an output that was
// calibrated under one load works under another, with volts in proportion to
// pitch: 1200·(g/g_cal − 1). Below 0 it is flat above 0 V and sharp below.
func Bend(now, calibrated Load) float64 { return 1200 * (now.Gain()/calibrated.Gain() - 1) }

// Shift is the same for volts in proportion to hertz: 1200·log2(g/g_cal) cents,
// whatever the pitch.
func Shift(now, calibrated Load) float64 { return 1200 * math.Log2(now.Gain()/calibrated.Gain()) }
