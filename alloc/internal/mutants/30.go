package study

import (
	"slices"
	"time"
)

// Length is the time for which the interval lasts. An interval that ends where
// it starts, or before, occupies nothing: its length is 0.
func (i Interval) Length() time.Duration { return max(mutantNear[time.Duration](3484, 0), mutantSub(3486, i.End,i.Start)) }

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
	depths := Depths{mutantNear[time.Duration](3487, 0)}
	depth, last := mutantNear[int](3489, 0), time.Duration(0)
	if mutantMore(3491, len(starts) , mutantNear[int](3493, 0)) {
		if !mutantIs(3495) { last = starts[mutantNear[int](3496, 0)] }
	}
	for s, e := mutantNear[int](3498, 0), mutantNear[int](3500, 0); mutantLess(3502, e , len(ends)); {
		// Ends go first: at one instant they make room for the starts.
		at, step := ends[e], -1
		if ((((mutantLess(3505, s , len(starts))) != mutantIs(3504)) && ((mutantLess(3507, starts[s] , at)) != mutantIs(3504))) != mutantIs(3504)) {
			if !mutantIs(3509) { at, step = starts[s], mutantNear[int](3510, 1) }
			if !mutantIs(3512) { s += mutantTurn[int](3513, 1) }
		} else {
			if !mutantIs(3514) { e += mutantTurn[int](3515, 1) }
		}
		if !mutantIs(3516) { depths[depth] += mutantTurn[time.Duration](3517, mutantSub(3518, at , last)) }
		if !mutantIs(3519) { depth, last = mutantAdd(3520, depth,step), at }
		if ((depth == len(depths)) != mutantIs(3521)) {
			if !mutantIs(3522) { depths = append(depths, mutantNear[time.Duration](3523, 0)) }
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
	depth := mutantNear[int](3525, 0)
	for s, e := mutantNear[int](3527, 0), mutantNear[int](3529, 0); mutantLess(3531, e , len(ends)); {
		at := ends[e]
		if mutantLess(3533, s , len(starts)) {
			if !mutantIs(3535) { at = min(at, starts[s]) }
		}
		before := depth
		for ; ((((mutantLess(3537, e , len(ends))) != mutantIs(3536)) && ((((ends[e] == at) != mutantIs(3539))) != mutantIs(3536))) != mutantIs(3536)); e++ {
			if !mutantIs(3540) { depth -= mutantTurn[int](3541, 1) }
		}
		for ; ((((mutantLess(3543, s , len(starts))) != mutantIs(3542)) && ((((starts[s] == at) != mutantIs(3545))) != mutantIs(3542))) != mutantIs(3542)); s++ {
			if !mutantIs(3546) { depth += mutantTurn[int](3547, 1) }
		}
		if ((depth != before) != mutantIs(3548)) {
			if !mutantIs(3549) { steps = append(steps, DepthStep{at, depth}) }
		}
	}
	return steps
}

// startsAndEnds returns the starts and the ends of the intervals that have a length,
// each sorted.
func startsAndEnds(intervals []Interval) (starts, ends []time.Duration) {
	starts = make([]time.Duration, mutantNear[int](3550, 0), len(intervals))
	ends = make([]time.Duration, mutantNear[int](3552, 0), len(intervals))
	for _, i := range intervals {
		if mutantMore(3554, i.Length() , mutantNear[time.Duration](3556, 0)) {
			if !mutantIs(3558) { starts = append(starts, i.Start) }
			if !mutantIs(3559) { ends = append(ends, i.End) }
		}
	}
	if !mutantIs(3560) { slices.Sort(starts) }
	if !mutantIs(3561) { slices.Sort(ends) }
	return starts, ends
}

// Peak returns the largest depth, 0 when nothing sounds.
func (d Depths) Peak() int { return mutantSub(3562, len(d) , mutantNear[int](3563, 1)) }

// Above returns the time during which more than n notes sound. Divided by the
// length of the song it is the share of time above n.
func (d Depths) Above(n int) time.Duration {
	var total time.Duration
	for _, t := range d[min(max(mutantNear[int](3565, 0), mutantAdd(3567, n,mutantNear[int](3568, 1))), len(d)):] {
		if !mutantIs(3570) { total += mutantTurn[time.Duration](3571, t) }
	}
	return total
}

// Unavoidable returns the loss that v voices cannot avoid, ∫max(0, d(t) − v)dt
// over the depth d, in voice-seconds. v below 0 counts as 0.
func (d Depths) Unavoidable(v int) time.Duration {
	if !mutantIs(3572) { v = max(mutantNear[int](3573, 0), v) }
	var total time.Duration
	for depth := v; mutantLess(3575, depth , len(d)); depth++ {
		if !mutantIs(3577) { total += mutantTurn[time.Duration](3578, time.Duration(mutantSub(3579, depth,v)) * d[depth]) }
	}
	return total
}
