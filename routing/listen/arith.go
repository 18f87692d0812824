package listen

import (
	"math"

	"choirloft/alloc/study/hearing"
)

// sine returns the sine of an angle in turns, from −2⁵⁰ to 2⁵⁰, within 10⁻¹⁵: its
// Taylor series over a quarter of a turn.
func sine(turns float64) float64 {
	x := turns - math.Floor(turns+0.5) // −½ … ½
	switch {
	case x > 0.25:
		x = 0.5 - x
	case x < -0.25:
		x = -0.5 - x
	}
	x = float64(x * (2 * math.Pi))
	q := float64(x * x)
	sum := -1.0 / 121645100408832000 // −1/19!
	for _, c := range [...]float64{1.0 / 355687428096000, -1.0 / 1307674368000, 1.0 / 6227020800, -1.0 / 39916800, 1.0 / 362880, -1.0 / 5040, 1.0 / 120, -1.0 / 6, 1} {
		sum = c + float64(q*sum)
	}
	return float64(x * sum)
}

// hertz is the frequency of a pitch on the scale of MIDI keys.
func hertz(a4, pitch float64) float64 {
	return float64(a4 * hearing.Exp(float64((pitch-69)*(math.Ln2/12))))
}

// draws is a series of numbers that look drawn, the same for the same seed
// (SplitMix64: Steele, Lea and Flood 2014).
type draws uint64

func (d *draws) next() uint64 {
	*d += 0x9E3779B97F4A7C15
	z := uint64(*d)
	z = (z ^ z>>30) * 0xBF58476D1CE4E5B9
	z = (z ^ z>>27) * 0x94D049BB133111EB
	return z ^ z>>31
}

// unit is a number from 0 to 1.
func (d *draws) unit() float64 { return float64(float64(d.next()>>11) / (1 << 53)) }

// normal is a number of mean 0 and deviation 1: twelve of unit, less 6.
func (d *draws) normal() float64 {
	sum := -6.0
	for range 12 {
		sum += d.unit()
	}
	return sum
}
