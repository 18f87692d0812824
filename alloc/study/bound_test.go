package study

import (
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

const ms = time.Millisecond

// spans makes intervals of pairs of milliseconds.
func spans(pairs ...time.Duration) []Interval {
	var list []Interval
	for i := 0; i < len(pairs); i += 2 {
		list = append(list, Interval{pairs[i] * ms, pairs[i+1] * ms})
	}
	return list
}

// handCases are lists of intervals whose bounds were worked out by hand. Both
// bounds are given for 0, 1, … voices, up to the peak.
var handCases = []struct {
	name        string
	intervals   []Interval
	fewest      []int
	unavoidable []time.Duration // in voice-milliseconds
}{
	{
		// By hand: fewest 1 with one voice, the long note. 10 + 2 + 2 + 2 of
		// length in all; two notes sound for 2 + 2 + 2.
		name:        "long note under three short ones",
		intervals:   spans(0, 10, 1, 3, 4, 6, 7, 9),
		fewest:      []int{4, 1, 0},
		unavoidable: []time.Duration{16, 6, 0},
	},
	{
		// By hand: fewest 2 with two voices. Depth by
		// millisecond 1 2 3 4 3 3 3 2 1: 22 in all, 13 above one, 6 above
		// two, 1 above three. One voice plays [0,4) and [5,9), or two others,
		// never three, as [0,4) [1,6) [2,7) [3,5) share 3 and the other two
		// share 6. Three voices lose one of the four that share 3.
		name:        "six in a crowd",
		intervals:   spans(0, 4, 1, 6, 2, 7, 3, 5, 5, 9, 6, 8),
		fewest:      []int{6, 4, 2, 1, 0},
		unavoidable: []time.Duration{22, 13, 6, 1, 0},
	},
	{
		// By hand: 1750 and 1 with two voices. Lengths 250 +
		// 1900 + 1800 + 1700; one voice: 5650 − 2000; three notes from 200 to
		// 250 and from 300: 50 + 1700.
		name:        "three long after a short",
		intervals:   spans(0, 250, 100, 2000, 200, 2000, 300, 2000),
		fewest:      []int{4, 2, 1, 0},
		unavoidable: []time.Duration{5650, 3650, 1750, 0},
	},
	{
		// The worked file of RP-001 (SMF 1.0): 6.5 note-seconds, depth 4,
		// fewest 3/2/1/0. Depth 2, 3, 4 for 500, 500, 1000 ms.
		name:        "worked file of the MIDI file standard",
		intervals:   spans(0, 2000, 0, 2000, 500, 2000, 1000, 2000),
		fewest:      []int{4, 3, 2, 1, 0},
		unavoidable: []time.Duration{6500, 4500, 2500, 1000, 0},
	},
	{
		// Half-open: the second starts where the first ends.
		name:        "end to start",
		intervals:   spans(0, 5, 5, 9),
		fewest:      []int{2, 0},
		unavoidable: []time.Duration{9, 0},
	},
	{
		name:        "silence between",
		intervals:   spans(0, 5, 8, 9),
		fewest:      []int{2, 0},
		unavoidable: []time.Duration{6, 0},
	},
	{
		name:        "equal ones",
		intervals:   spans(3, 5, 3, 5, 3, 5),
		fewest:      []int{3, 2, 1, 0},
		unavoidable: []time.Duration{6, 4, 2, 0},
	},
	{
		// Notes without a length occupy nothing, so neither of them counts.
		name:        "no length",
		intervals:   spans(0, 4, 2, 2, 4, 4, 3, 1),
		fewest:      []int{1, 0},
		unavoidable: []time.Duration{4, 0},
	},
	{
		name:        "nothing",
		fewest:      []int{0},
		unavoidable: []time.Duration{0},
	},
}

func TestBoundsByHand(t *testing.T) {
	for _, c := range handCases {
		t.Run(c.name, func(t *testing.T) {
			var want Curve
			for v, n := range c.fewest {
				want = append(want, Bound{c.unavoidable[v] * ms, n})
			}
			require.Equal(t, want, Bounds(c.intervals))
			for v, b := range want {
				require.Equal(t, b.FewestDamaged, FewestDamaged(c.intervals, v), "%d voices", v)
				require.Equal(t, b.Unavoidable, Unavoidable(c.intervals, v), "%d voices", v)
			}
		})
	}
}

func TestVoicesOutsideOfTheCurve(t *testing.T) {
	intervals := spans(0, 4, 1, 6)
	curve := Bounds(intervals)
	all := Bound{Unavoidable: 9 * ms, FewestDamaged: 2} // 4 + 5 of length
	require.Equal(t, all, curve.At(0))
	require.Equal(t, all, curve.At(-1))
	require.Equal(t, Bound{}, curve.At(2))
	require.Equal(t, Bound{}, curve.At(99))
	require.Equal(t, Bound{}, Curve(nil).At(0))
	require.Equal(t, 2, FewestDamaged(intervals, -1))
	require.Equal(t, 0, FewestDamaged(intervals, 99))
	require.Equal(t, 9*ms, Unavoidable(intervals, -1))
	require.Equal(t, time.Duration(0), Unavoidable(intervals, 99))
}

func TestInputIsLeftAlone(t *testing.T) {
	intervals := spans(7, 9, 0, 10, 4, 4, 1, 3)
	before := slices.Clone(intervals)
	Bounds(intervals)
	FewestDamaged(intervals, 1)
	Unavoidable(intervals, 1)
	require.Equal(t, before, intervals)
}

// anyIntervals draws up to n intervals on a coarse grid, so that ends and
// starts often meet, among them some without a length.
func anyIntervals(n int) *rapid.Generator[[]Interval] {
	one := rapid.Custom(func(t *rapid.T) Interval {
		start := time.Duration(rapid.IntRange(0, 40).Draw(t, "start"))
		return Interval{start * ms, (start + time.Duration(rapid.IntRange(0, 20).Draw(t, "length"))) * ms}
	})
	return rapid.SliceOfN(one, 0, n)
}

func TestOneSweepIsTheGreedyAtEveryCount(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		intervals := anyIntervals(200).Draw(t, "intervals")
		curve := Bounds(intervals)
		for v := range len(curve) + 2 {
			want := Bound{Unavoidable(intervals, v), FewestDamaged(intervals, v)}
			require.Equal(t, want, curve.At(v), "%d voices", v)
		}
	})
}

func TestCurveFallsAndIsConvex(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		curve := Bounds(anyIntervals(60).Draw(t, "intervals"))
		for v := range len(curve) - 1 {
			// Strictly: below the peak one voice more always helps.
			require.Greater(t, curve[v].FewestDamaged, curve[v+1].FewestDamaged)
			require.Greater(t, curve[v].Unavoidable, curve[v+1].Unavoidable)
			// The optimum of a linear programme is convex in its right-hand
			// side: each further voice helps at most as much as the last.
			a, b, c := curve[v], curve[v+1], curve.At(v+2)
			require.GreaterOrEqual(t, a.FewestDamaged-b.FewestDamaged, b.FewestDamaged-c.FewestDamaged)
			require.GreaterOrEqual(t, a.Unavoidable-b.Unavoidable, b.Unavoidable-c.Unavoidable)
		}
		require.Equal(t, Bound{}, curve[len(curve)-1])
	})
}

func TestBoundsDoNotDependOn(t *testing.T) {
	changes := map[string]func(*rapid.T, []Interval){
		"the order of the list": func(t *rapid.T, list []Interval) {
			copy(list, rapid.Permutation(list).Draw(t, "order"))
		},
		"the time of day": func(t *rapid.T, list []Interval) {
			by := time.Duration(rapid.Int64Range(-1e12, 1e12).Draw(t, "by"))
			for i := range list {
				list[i].Start += by
				list[i].End += by
			}
		},
		"the direction of time": func(_ *rapid.T, list []Interval) {
			for i, x := range list {
				list[i] = Interval{-x.End, -x.Start}
			}
		},
	}
	for name, change := range changes {
		t.Run(name, func(t *testing.T) {
			rapid.Check(t, func(t *rapid.T) {
				intervals := anyIntervals(60).Draw(t, "intervals")
				want := Bounds(intervals)
				change(t, intervals)
				require.Equal(t, want, Bounds(intervals))
			})
		})
	}
}

func TestOneMoreNoteNeverLowersABound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		intervals := anyIntervals(60).Draw(t, "intervals")
		more := append(slices.Clone(intervals), anyIntervals(1).Draw(t, "more")...)
		fewer, curve := Bounds(intervals), Bounds(more)
		for v := range len(curve) + 1 {
			damaged := curve.At(v).FewestDamaged - fewer.At(v).FewestDamaged
			require.Contains(t, []int{0, 1}, damaged, "%d voices", v)
			require.GreaterOrEqual(t, curve.At(v).Unavoidable, fewer.At(v).Unavoidable, "%d voices", v)
		}
	})
}

// TestUnavoidableIsReached gives up the note that would end soonest whenever
// the voices do not suffice: all others sound at least until that end, so nothing
// is lost while a voice is free, and the bound is reached.
func TestUnavoidableIsReached(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		intervals := anyIntervals(60).Draw(t, "intervals")
		for v := range len(Bounds(intervals)) + 1 {
			require.Equal(t, Unavoidable(intervals, v), lostGivingUpSoonest(intervals, v), "%d voices", v)
		}
	})
}

func lostGivingUpSoonest(intervals []Interval, v int) time.Duration {
	intervals = slices.Clone(intervals)
	slices.SortFunc(intervals, func(a, b Interval) int { return int(a.Start - b.Start) })
	var lost time.Duration
	var ends []time.Duration
	for _, i := range intervals {
		ends = slices.DeleteFunc(ends, func(end time.Duration) bool { return end <= i.Start })
		ends = append(ends, i.End)
		slices.Sort(ends)
		if len(ends) > v {
			lost += max(0, ends[0]-i.Start)
			ends = ends[1:]
		}
	}
	return lost
}
