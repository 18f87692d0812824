package detune

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
)

// Limits of a Spec.
const (
	MaxVoices = 1024 // of a stack
	MaxUneven = 12   // voices under the Uneven law: the rulers end here
	MaxWidth  = 2400 // cents, lowest to highest
	MinPower  = 0.1  // exponent of the Power law
	MaxPower  = 10   // exponent of the Power law
)

const (
	usual   = 2.0          // exponent of the Power law when none is given
	inverse = 1 / math.Phi // 0.618034, the step of the Golden law in turns
)

// ErrNoRuler is in the chain of the error for a stack wider than the rulers.
var ErrNoRuler = errors.New("the uneven pattern ends at 12 voices")

// Spec asks for the detunes of a stack.
type Spec struct {
	Law    Law
	Voices int     // 1 to MaxVoices; MaxUneven at most under the Uneven law
	Width  Cents   // total, lowest to highest voice, never "±": 0 to MaxWidth
	Power  float64 // exponent of the Power law, MinPower to MaxPower; 0 is the usual 2. Others ignore it
	Seed   uint64  // of the Random law. Others ignore it
}

// Check says what is wrong with a spec, and the way out.
func (s Spec) Check() error {
	switch {
	case int(s.Law) >= len(lawNames):
		return fmt.Errorf("unknown %v", s.Law)
	case s.Voices < 1 || s.Voices > MaxVoices:
		return fmt.Errorf("found %d voices in unison, want 1 to %d", s.Voices, MaxVoices)
	case !(s.Width >= 0 && s.Width <= MaxWidth):
		return fmt.Errorf("found a spread of %g cents, want 0 to %d", float64(s.Width), MaxWidth)
	case s.Law == Uneven && s.Voices > MaxUneven:
		return fmt.Errorf("found %d voices in unison, but %w: take even, golden or random, or stacks of at most %d voices",
			s.Voices, ErrNoRuler, MaxUneven)
	case s.Law == Power && s.Power != 0 && !(s.Power >= MinPower && s.Power <= MaxPower):
		return fmt.Errorf("found a power of %g, want %g to %d", s.Power, MinPower, MaxPower)
	}
	return nil
}

// Spread gives the detune of every position in cents, lowest first. A single
// voice has 0; of several the lowest is at −Width/2 and the highest at +Width/2
// exactly, whatever the law. Most laws are lopsided between these ends: see
// Mean and Recentred. Errors are those of Check.
func (s Spec) Spread() ([]Cents, error) {
	if err := s.Check(); err != nil {
		return nil, err
	}
	if s.Voices == 1 {
		return []Cents{0}, nil
	}
	stack := make([]Cents, s.Voices)
	for i, m := range s.marks() {
		stack[i] = s.Width / 2 * Cents(m)
	}
	return stack, nil
}

// marks are the places of two or more voices, from −1 to 1, ascending.
func (s Spec) marks() []float64 {
	switch s.Law {
	case Even:
		return even(s.Voices)
	case Power:
		return power(s.Voices, s.Power)
	case Golden:
		return golden(s.Voices)
	case Random:
		return random(s.Voices, s.Seed)
	default:
		return uneven(s.Voices)
	}
}

func even(n int) []float64 {
	marks := make([]float64, n)
	for i := range marks {
		marks[i] = float64(2*i-(n-1)) / float64(n-1)
	}
	return marks
}

func power(n int, p float64) []float64 {
	if p == 0 {
		p = usual
	}
	marks := even(n)
	for i, x := range marks {
		marks[i] = math.Copysign(math.Pow(math.Abs(x), p), x)
	}
	return marks
}

// rulers are optimal Golomb rulers: no shorter one has as many marks. Known by
// exhaustive search; from memory, and tests check them.
var rulers = [MaxUneven + 1][]int{
	2:  {0, 1},
	3:  {0, 1, 3},
	4:  {0, 1, 4, 6},
	5:  {0, 1, 4, 9, 11},
	6:  {0, 1, 4, 10, 12, 17},
	7:  {0, 1, 4, 10, 18, 23, 25},
	8:  {0, 1, 4, 9, 15, 22, 32, 34},
	9:  {0, 1, 5, 12, 25, 27, 35, 41, 44},
	10: {0, 1, 6, 10, 23, 26, 34, 41, 53, 55},
	11: {0, 1, 4, 13, 28, 33, 47, 54, 64, 70, 72},
	12: {0, 2, 6, 24, 29, 40, 43, 55, 68, 75, 76, 85},
}

func uneven(n int) []float64 {
	length := rulers[n][n-1]
	marks := make([]float64, n)
	for i, m := range rulers[n] {
		marks[i] = float64(2*m-length) / float64(length)
	}
	return marks
}

// golden walks round a circle in steps of 1/φ turns, starting at 0.
func golden(n int) []float64 {
	marks := make([]float64, n)
	for i := range marks {
		_, marks[i] = math.Modf(float64(i) * inverse)
	}
	slices.Sort(marks)
	low, high := marks[0], marks[n-1]
	for i, m := range marks {
		marks[i] = 2*(m-low)/(high-low) - 1
	}
	return marks
}

// random puts two voices at the ends and draws the others uniformly between
// them. That is how n uniform draws lie when stretched until their ends meet
// the width, but no draw can make the stretch fail.
func random(n int, seed uint64) []float64 {
	rng := rand.New(rand.NewPCG(seed, 0))
	marks := make([]float64, n)
	marks[0], marks[1] = -1, 1
	for i := 2; i < n; i++ {
		marks[i] = 2*rng.Float64() - 1
	}
	slices.Sort(marks)
	return marks
}

// Mean is the shift of a stack's centre in cents: how sharp it sounds as a
// whole, all voices being equally loud. 0 for an empty stack.
func Mean(stack []Cents) Cents {
	var sum Cents
	for _, c := range stack {
		sum += c
	}
	return sum / Cents(max(1, len(stack)))
}

// Recentred is a stack moved so that its mean is 0. Its width stays; its ends
// are then no longer at ± half of it.
func Recentred(stack []Cents) []Cents {
	mean := Mean(stack)
	moved := make([]Cents, len(stack))
	for i, c := range stack {
		moved[i] = c - mean
	}
	return moved
}
