package detune

import (
	"fmt"
	"math"
	"slices"
)

type (
	// Pan is a place in the stereo field, −1 full left to +1 full right.
	Pan float64
	// Share is a part of a whole: 0.6 is 60 %.
	Share float64
)

const (
	// MaxCorrelation is what the correlation of detune and pan stays below.
	MaxCorrelation = 0.2
	// alike is the width in cents up to which a stack has no flat and sharp.
	alike = 1e-9
	// exhaustive is the most voices for which every order is tried.
	exhaustive = 8
	// enough is the correlation at which the search for larger stacks rests.
	enough = 0.01
)

// Placement says how a stack was laid across the stereo field.
type Placement uint8

// The placements.
const (
	Regular Placement = iota // equal steps over the width
	Shifted                  // moved off the equal steps, as no order of those was below MaxCorrelation
	Centred                  // two voices that differ: no place but the centre is below MaxCorrelation
)

var placementNames = [...]string{Regular: "regular", Shifted: "shifted", Centred: "centred"}

// String is the stable name.
func (p Placement) String() string {
	if int(p) < len(placementNames) {
		return placementNames[p]
	}
	return fmt.Sprintf("placement %d", uint8(p))
}

// Stereo is a stack laid across the stereo field.
type Stereo struct {
	Pans        []Pan     // by position; their mean is 0
	Width       Share     // reached, from the leftmost to the rightmost: 1 is the whole field
	Correlation float64   // Pearson's r of detune and pan; 0 where either does not vary
	Placement   Placement // Regular, or why not
}

// Pans lays a stack across a share of the stereo field, 0 to 1, so that detune
// and pan do not go together: |r| < 0.2, never "flat left, sharp right". The
// field's middle stays the middle (the pans have mean 0), no pan lies outside
// ±width, and the same stack always gets the same pans. What is possible
// depends on the voices:
//
//   - One voice is in the centre.
//   - Two voices that differ have r = ±1 wherever they are apart. Both are put
//     in the centre and the placement is Centred: for width, take three.
//   - Three voices have no order of left, centre and right below 0.2 for most
//     laws. They are Shifted to r = 0: evenly detuned ones to −½, 1, −½ of the
//     width, which reaches three quarters of what was asked.
//   - Four and more are Regular, or Shifted where a law crowds its voices so
//     much that no order of equal steps will do.
//
// Up to eight voices the order with the smallest |r| is found among all; beyond,
// a walk in golden steps is mended by exchanging pairs until |r| is below 0.01
// or no exchange helps. Shifting takes the part that follows the detune out of
// the pans and stretches the rest to the width.
//
// A stack without detune takes equal steps from left to right. An error names a
// detune or width that is no number in reach.
func Pans(stack []Cents, width Share) (Stereo, error) {
	if err := checkStack(stack); err != nil {
		return Stereo{}, err
	}
	if !(width >= 0 && width <= 1) {
		return Stereo{}, fmt.Errorf("found a pan width of %g, want 0 to 1", float64(width))
	}
	n := len(stack)
	s := Stereo{Pans: make([]Pan, n)}
	if n < 2 || width == 0 {
		return s, nil
	}
	steps, detune := even(n), leanings(stack)
	switch {
	case detune == nil:
	case n == 2:
		s.Placement = Centred
		return s, nil
	default:
		steps = apart(steps, detune)
		if math.Abs(correlation(detune, steps)) >= MaxCorrelation {
			s.Placement = Shifted
			shift(steps, detune)
		}
		s.Correlation = tidy(correlation(detune, steps))
	}
	for i, x := range steps {
		s.Pans[i] = Pan(width) * Pan(x)
	}
	s.Width = Share(slices.Max(s.Pans)-slices.Min(s.Pans)) / 2
	return s, nil
}

// leanings are the detunes from their mean, the largest 1 in size; nil if all
// are alike.
func leanings(stack []Cents) []float64 {
	if len(stack) == 0 || slices.Max(stack)-slices.Min(stack) <= alike {
		return nil
	}
	lean := make([]float64, len(stack))
	for i, c := range Recentred(stack) {
		lean[i] = float64(c)
	}
	stretch(lean)
	return lean
}

// stretch scales values so that the largest is 1 in size.
func stretch(values []float64) {
	var most float64
	for _, v := range values {
		most = max(most, math.Abs(v))
	}
	for i := range values {
		values[i] /= most
	}
}

// apart orders the steps so that they follow the detune as little as possible.
func apart(steps, detune []float64) []float64 {
	if len(steps) <= exhaustive {
		return bestOrder(steps, detune)
	}
	return mended(goldenOrder(steps), detune)
}

// bestOrder tries every order of the steps. Of equally good ones it takes the
// first, reading the steps upwards.
func bestOrder(steps, detune []float64) []float64 {
	n := len(steps)
	best, least := slices.Clone(steps), math.Inf(1)
	order, used := make([]float64, n), make([]bool, n)
	var place func(i int, sum float64)
	place = func(i int, sum float64) {
		if i == n {
			if math.Abs(sum) < least-slack {
				least = math.Abs(sum)
				copy(best, order)
			}
			return
		}
		for j, x := range steps {
			if !used[j] && least > slack {
				used[j], order[i] = true, x
				place(i+1, sum+x*detune[i])
				used[j] = false
			}
		}
	}
	place(0, 0)
	return best
}

// goldenOrder deals the steps in the order in which a walk round a circle, 1/φ
// turns a step, passes its places.
func goldenOrder(steps []float64) []float64 {
	at := make([]Cents, len(steps))
	for i := range at {
		_, turn := math.Modf(float64(i) * inverse)
		at[i] = Cents(turn)
	}
	order := make([]float64, len(steps))
	for rank, i := range upwards(at) {
		order[i] = steps[rank]
	}
	return order
}

// mended exchanges pairs of steps as long as that brings r nearer to 0. Every
// exchange gains at least the slack, so it ends.
func mended(steps, detune []float64) []float64 {
	rest := enough * math.Sqrt(dot(detune, detune)*dot(steps, steps))
	sum := dot(detune, steps)
	for gained := true; gained; {
		gained = false
		for i := range steps {
			for j := range i {
				if math.Abs(sum) < rest {
					return steps
				}
				other := sum + (detune[i]-detune[j])*(steps[j]-steps[i])
				if math.Abs(other) < math.Abs(sum)-slack {
					steps[i], steps[j] = steps[j], steps[i]
					sum, gained = other, true
				}
			}
		}
	}
	return steps
}

// shift takes out of the steps what follows the detune, and stretches the rest.
// Both have mean 0, so the steps keep it.
func shift(steps, detune []float64) {
	follow := dot(detune, steps) / dot(detune, detune)
	for i := range steps {
		steps[i] -= follow * detune[i]
	}
	stretch(steps)
}

// correlation is Pearson's r of two lists of mean 0 that vary.
func correlation(a, b []float64) float64 {
	return dot(a, b) / math.Sqrt(dot(a, a)*dot(b, b))
}

// tidy drops what is nothing but rounding, so that a 0 prints as 0 everywhere.
func tidy(r float64) float64 {
	if math.Abs(r) < slack {
		return 0
	}
	return r
}

func dot(a, b []float64) float64 {
	var sum float64
	for i := range a {
		sum += a[i] * b[i]
	}
	return sum
}
