package detune

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

const (
	// Still is the beat in hertz below which two voices count as in unison: it
	// would take more than eleven days.
	Still Hertz = 1e-6
	// ThrobTolerance is how far, as a share of the mean gap, the gaps between
	// neighbours may depart from it and still throb in common: for ten periods
	// the beats then stay within half a period of each other. In cents, the uneven
	// and golden laws depart by more than 0.2. Our choice.
	ThrobTolerance = 0.05
)

// Pair is two voices that beat.
type Pair struct {
	Low, High int   // positions of the lower and the higher pitch
	Beat      Hertz // difference of their pitches, 0 or more
}

// Period is the time from one swell to the next, 1/Beat; 0 where there is no
// beat, that is below Still.
func (p Pair) Period() Seconds {
	if p.Beat < Still {
		return 0
	}
	return Seconds(1 / p.Beat)
}

// Throb is the common beat of evenly spaced voices. If the pitches of n voices
// lie D hertz apart, all beats are multiples of D, and the sum of equally loud
// voices swells as one every 1/D seconds and is first silent 1/(n·D) seconds
// after a swell.
type Throb struct {
	Common    bool    // three or more voices, gaps equal within ThrobTolerance
	Gap       Hertz   // D, the mean gap between neighbours; 0 unless Common
	Period    Seconds // 1/D; 0 unless Common
	FirstNull Seconds // 1/(n·D); 0 unless Common
	Departure float64 // largest departure of a gap from the mean gap, as a share of it
}

// Beats is what a stack does at one key.
type Beats struct {
	Key        Hertz  // pitch of the key
	Pairs      []Pair // every pair, n·(n−1)/2 of them, by the lower pitch, then the higher
	Neighbours []Pair // the n−1 pairs next to each other in pitch, upwards
	Unisons    int    // pairs that do not beat, below Still
	Slowest    Pair   // of those that beat; the zero Pair if none does
	Fastest    Pair   // of those that beat; the zero Pair if none does
	Throb      Throb
}

// BeatsOf lists the beats of a stack at a key whose pitch is f. The cents are
// those at that key (see Scaling), in any order; of equal pitches the lower
// position counts as the lower. An error names a pitch or a detune that is no
// number in reach.
func BeatsOf(stack []Cents, f Hertz) (Beats, error) {
	if !positive(f) {
		return Beats{}, fmt.Errorf("found a pitch of %g Hz, want one above 0", float64(f))
	}
	if err := checkStack(stack); err != nil {
		return Beats{}, err
	}
	b := Beats{Key: f}
	order := upwards(stack)
	for i, low := range order {
		for j, high := range order[i+1:] {
			p := Pair{low, high, beat(stack[low], stack[high], f)}
			b.add(p)
			if j == 0 {
				b.Neighbours = append(b.Neighbours, p)
			}
		}
	}
	b.Throb = throb(b.Neighbours)
	return b, nil
}

// add enters a pair; the first of equals stays slowest or fastest.
func (b *Beats) add(p Pair) {
	b.Pairs = append(b.Pairs, p)
	if p.Beat < Still {
		b.Unisons++
		return
	}
	if b.Slowest.Beat == 0 || p.Beat < b.Slowest.Beat {
		b.Slowest = p
	}
	if p.Beat > b.Fastest.Beat {
		b.Fastest = p
	}
}

// upwards are the positions of a stack in order of pitch.
func upwards(stack []Cents) []int {
	order := make([]int, len(stack))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(stack[a], stack[b]) })
	return order
}

// beat is the difference of two detuned pitches, taken from their interval so
// that near ones keep their precision.
func beat(low, high Cents, f Hertz) Hertz {
	return Delta(f*Hertz(math.Exp2(float64(low)/1200)), high-low)
}

// throb looks for a common gap among neighbours. Two voices have one beat, with
// nothing to be in common with.
func throb(neighbours []Pair) Throb {
	gaps := len(neighbours)
	if gaps < 2 {
		return Throb{}
	}
	var sum Hertz
	for _, p := range neighbours {
		sum += p.Beat
	}
	mean := sum / Hertz(gaps)
	if mean < Still {
		return Throb{}
	}
	var departure float64
	for _, p := range neighbours {
		departure = max(departure, math.Abs(float64(p.Beat/mean)-1))
	}
	if departure > ThrobTolerance {
		return Throb{Departure: departure}
	}
	voices := Hertz(gaps + 1)
	return Throb{true, mean, Seconds(1 / mean), Seconds(1 / (voices * mean)), departure}
}
