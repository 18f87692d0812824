package study

import (
	"slices"
	"time"
)

// Length is the time for which the interval lasts. An interval that ends where
// it starts, or before, occupies nothing: its length is 0.
func (i Interval) Length() time.Duration { return max(0, i.End-i.Start) }

// Peak returns the largest number of intervals that share an instant: the
// voices it takes to lose none of them (Kleinberg & Tardos, Algorithm Design,
// §4.1). Intervals are half-open, so one that starts where another ends does
// not meet it.
func Peak(intervals []Interval) int { return NewDepths(intervals).Peak() }

// Depths says for how long each number of notes sounds at once: element d is
// the time during which exactly d do, from 0 to the peak. Element 0 holds the
// silence between the first start and the last end; what comes before and
// after belongs to the song, which intervals know nothing of.
type Depths []time.Duration

// NewDepths measures the depth of the intervals, which may come in any order.
// Its result has at least one element. A note that asks for n voices is
// counted n times by standing in the list n times.
func NewDepths(intervals []Interval) Depths {
	starts, ends := startsAndEnds(intervals)
	depths := Depths{0}
	depth, last := 0, time.Duration(0)
	if len(starts) > 0 {
		last = starts[0]
	}
	for s, e := 0, 0; e < len(ends); {
		// Ends go first: at one instant they make room for the starts.
		at, step := ends[e], -1
		if s < len(starts) && starts[s] < at {
			at, step = starts[s], 1
			s++
		} else {
			e++
		}
		depths[depth] += at - last
		depth, last = depth+step, at
		if depth == len(depths) {
			depths = append(depths, 0)
		}
	}
	return depths
}

// DepthStep is how many intervals share the time from At on.
type DepthStep struct {
	At    time.Duration
	Depth int
}

// DepthSteps returns the depth of the intervals as a staircase: one step for
// each instant at which it changes, in the order of time. The last is 0.
func DepthSteps(intervals []Interval) []DepthStep {
	starts, ends := startsAndEnds(intervals)
	var steps []DepthStep
	depth := 0
	for s, e := 0, 0; e < len(ends); {
		at := ends[e]
		if s < len(starts) {
			at = min(at, starts[s])
		}
		before := depth
		for ; e < len(ends) && ends[e] == at; e++ {
			depth--
		}
		for ; s < len(starts) && starts[s] == at; s++ {
			depth++
		}
		if depth != before {
			steps = append(steps, DepthStep{at, depth})
		}
	}
	return steps
}

// startsAndEnds returns the starts and the ends of the intervals that have a length,
// each sorted.
func startsAndEnds(intervals []Interval) (starts, ends []time.Duration) {
	starts = make([]time.Duration, 0, len(intervals))
	ends = make([]time.Duration, 0, len(intervals))
	for _, i := range intervals {
		if i.Length() > 0 {
			starts = append(starts, i.Start)
			ends = append(ends, i.End)
		}
	}
	slices.Sort(starts)
	slices.Sort(ends)
	return starts, ends
}

// Peak returns the largest depth, 0 when nothing sounds.
func (d Depths) Peak() int { return len(d) - 1 }

// Above returns the time during which more than n notes sound. Divided by the
// length of the song it is the share of time above n.
func (d Depths) Above(n int) time.Duration {
	var total time.Duration
	for _, t := range d[min(max(0, n+1), len(d)):] {
		total += t
	}
	return total
}

// Unavoidable returns the loss that v voices cannot avoid, ∫max(0, d(t) − v)dt
// over the depth d, in voice-seconds. v below 0 counts as 0.
func (d Depths) Unavoidable(v int) time.Duration {
	v = max(0, v)
	var total time.Duration
	for depth := v; depth < len(d); depth++ {
		total += time.Duration(depth-v) * d[depth]
	}
	return total
}
