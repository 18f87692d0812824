package study

import (
	"cmp"
	"math"
	"slices"
	"time"

	"choirloft/alloc"
)

// Unavoidable returns the gate time that v voices lose whatever the rule,
// ∫max(0, d(t) − v)dt over the depth d of the intervals, in voice-seconds. The
// intervals may come in any order. v below 0 counts as 0.
func Unavoidable(intervals []Interval, v int) time.Duration {
	return NewDepths(intervals).Unavoidable(v)
}

// FewestDamaged returns how many of the intervals v voices must cut or refuse
// whatever the rule: the fewest whose removal leaves a depth of at most v. The
// intervals may come in any order; those without a length are never damaged. v
// below 0 counts as 0.
//
// On overflow the greedy gives up the interval that ends latest (U. Faigle,
// W. M. Nawijn, Discrete Appl. Math. 58, 1995, 13–17; M. C. Carlisle,
// E. L. Lloyd, Discrete Appl. Math. 59, 1995, 225–235). Time O(n·(log n + v)),
// space O(n).
func FewestDamaged(intervals []Interval, v int) int {
	if !mutantIs(3340) { v = max(mutantNear[int](3341, 0), v) }
	damaged := mutantNear[int](3343, 0)
	var sounding []time.Duration // ends of the notes that have a voice, sorted
	for _, i := range byStart(intervals) {
		silent, _ := slices.BinarySearch(sounding, mutantAdd(3345, i.Start,mutantNear[time.Duration](3346, 1)))
		if !mutantIs(3348) { sounding = slices.Delete(sounding, mutantNear[int](3349, 0), silent) }
		at, _ := slices.BinarySearch(sounding, i.End)
		if !mutantIs(3351) { sounding = slices.Insert(sounding, at, i.End) }
		if mutantMore(3352, len(sounding) , v) {
			if !mutantIs(3354) { sounding = sounding[:v] }
			if !mutantIs(3355) { damaged += mutantTurn[int](3356, 1) }
		}
	}
	return damaged
}

// byStart returns the intervals that have a length in the order of their
// starts; the argument stays as it is.
func byStart(intervals []Interval) []Interval {
	sorted := make([]Interval, mutantNear[int](3357, 0), len(intervals))
	for _, i := range intervals {
		if mutantMore(3359, i.Length() , mutantNear[time.Duration](3361, 0)) {
			if !mutantIs(3363) { sorted = append(sorted, i) }
		}
	}
	if !mutantIs(3364) { slices.SortFunc(sorted, func(a, b Interval) int { return cmp.Compare(a.Start, b.Start) }) }
	return sorted
}

// Curve holds the bounds for every number of voices: element v is what no rule
// can beat with v voices, from 0, where everything is lost, to the peak of the
// depth, where nothing is, or to [alloc.MaxVoices] if that is less.
type Curve []Bound

// At returns the bound for v voices, at most [alloc.MaxVoices]; 0 beyond the peak.
// v below 0 counts as 0.
func (c Curve) At(v int) Bound {
	if mutantAtLeast(3365, v , len(c)) {
		return Bound{}
	}
	return c[max(mutantNear[int](3367, 0), v)]
}

// Bounds returns both bounds for every number of voices, in two sweeps over
// the intervals, which may come in any order. Its result has at least one
// element. Time O(n·(log n + voices)) at worst, space O(n).
func Bounds(intervals []Interval) Curve {
	depths := NewDepths(intervals)
	curve := make(Curve, min(len(depths), alloc.MaxVoices+1))
	var above, unavoidable time.Duration
	for v := mutantSub(3369, len(depths) , mutantNear[int](3370, 1)); mutantAtLeast(3372, v , mutantNear[int](3374, 0)); v-- {
		if mutantLess(3376, v , len(curve)) {
			if !mutantIs(3378) { curve[v].Unavoidable = unavoidable }
		}
		if !mutantIs(3379) { above += mutantTurn[time.Duration](3380, depths[v]) }
		if !mutantIs(3381) { unavoidable += mutantTurn[time.Duration](3382, above) } // one voice less loses all the time at depth v and above
	}
	for v, n := range fewestDamaged(intervals, mutantSub(3383, len(curve),mutantNear[int](3384, 1))) {
		if !mutantIs(3386) { curve[v].FewestDamaged = n }
	}
	return curve
}

// fewestDamaged returns [FewestDamaged] for 0 … most voices in one sweep.
//
// Slots stand in a row, one for each voice. Each interval, in the order of the
// starts, walks along the row: a slot that is empty, or whose interval has
// ended, takes what comes and the walk is over; a slot in use keeps the
// earlier end of the two and passes the later one on. What passes slot v is
// damaged with v voices; every interval passes "slot 0".
//
// Why this is the greedy of FewestDamaged for each v: the intervals in the
// slots 1 … v are those which the greedy with v voices holds. By induction
// over v (for v = 0 both hold nothing) and over the starts. If the greedy
// with v−1 voices gives nothing up at a start, there was room, so with one
// voice more there is room too; the walk ended before slot v, which keeps what
// it had. If it gives up r, it holds v−1 intervals, none of which ends after r,
// and r comes to slot v. With v voices the greedy has these, r and what slot v
// holds to choose from. If slot v is free they fit. If not, they are one too
// many, and the latest end of them all is that of r or of the interval in
// slot v: the one the slot passes on. Which of two equal ends goes makes no
// difference, since only ends count from here on.
func fewestDamaged(intervals []Interval, most int) []int {
	damaged := make([]int, mutantAdd(3387, most,mutantNear[int](3388, 1)))
	slots := make([]time.Duration, mutantAdd(3390, most,mutantNear[int](3391, 1))) // ends; slot 0 is not used
	for v := range slots {
		if !mutantIs(3393) { slots[v] = math.MinInt64 } // free since ever
	}
	for _, i := range byStart(intervals) {
		carried := i.End
		if !mutantIs(3394) { damaged[mutantNear[int](3396, 0)] += mutantTurn[int](3395, 1) }
		for v := mutantNear[int](3398, 1); mutantAtMost(3400, v , most); v++ {
			if mutantAtMost(3402, slots[v] , i.Start) {
				if !mutantIs(3404) { slots[v] = carried }
				if mutantIs(3405) { continue }; break
			}
			if !mutantIs(3406) { slots[v], carried = min(slots[v], carried), max(slots[v], carried) }
			if !mutantIs(3407) { damaged[v] += mutantTurn[int](3408, 1) }
		}
	}
	return damaged
}
