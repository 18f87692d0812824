package study

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestDepths(t *testing.T) {
	// The depth by millisecond is 1 2 3 4 3 3 3 2 1, see handCases.
	crowd := NewDepths(spans(0, 4, 1, 6, 2, 7, 3, 5, 5, 9, 6, 8))
	require.Equal(t, Depths{0, 2 * ms, 2 * ms, 4 * ms, 1 * ms}, crowd)

	for _, c := range []struct {
		name      string
		intervals []Interval
		want      Depths
	}{
		{"nothing", nil, Depths{0}},
		{"no length", spans(3, 3, 5, 4), Depths{0}},
		{"silence before is not counted, silence between is", spans(10, 12, 15, 16), Depths{3 * ms, 3 * ms}},
		{"end to start", spans(5, 9, 0, 5), Depths{0, 9 * ms}},
		{"one instant short of it", []Interval{{0, 5*ms + 1}, {5 * ms, 9 * ms}}, Depths{0, 9*ms - 1, 1}},
		{"three at once", spans(1, 2, 1, 2, 1, 2), Depths{0, 0, 0, 1 * ms}},
	} {
		t.Run(c.name, func(t *testing.T) {
			require.Equal(t, c.want, NewDepths(c.intervals))
			require.Equal(t, len(c.want)-1, Peak(c.intervals))
		})
	}
}

func TestDepthsAbove(t *testing.T) {
	d := Depths{5 * ms, 2 * ms, 3 * ms, 1 * ms}
	require.Equal(t, 3, d.Peak())
	for n, want := range map[int]time.Duration{
		-2: 11 * ms, -1: 11 * ms, // any number is above −1: 5 + 2 + 3 + 1
		0: 6 * ms, 1: 4 * ms, 2: 1 * ms, 3: 0, 99: 0,
	} {
		require.Equal(t, want, d.Above(n), "above %d", n)
	}
}

func TestDepthsUnavoidable(t *testing.T) {
	d := Depths{5 * ms, 2 * ms, 3 * ms, 1 * ms}
	for v, want := range map[int]time.Duration{
		-1: 11 * ms, 0: 11 * ms, // 1·2 + 2·3 + 3·1
		1: 5 * ms, // 1·3 + 2·1
		2: 1 * ms, 3: 0, 99: 0,
	} {
		require.Equal(t, want, d.Unavoidable(v), "%d voices", v)
	}
}

// TestDepthsKeepTheNoteSeconds: Σ d·time(d) is the length of all notes, and
// Σ time(d) the time from the first start to the last end.
func TestDepthsKeepTheNoteSeconds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		intervals := anyIntervals(60).Draw(t, "intervals")
		var noteTime time.Duration
		first, last := time.Hour, time.Duration(0)
		for _, i := range intervals {
			noteTime += i.End - i.Start
			if i.End > i.Start {
				first, last = min(first, i.Start), max(last, i.End)
			}
		}
		depths := NewDepths(intervals)
		require.Equal(t, noteTime, depths.Unavoidable(0))
		require.Equal(t, max(0, last-first), depths.Above(-1))
	})
}

// TestDepthsAgainstSamples looks at every millisecond of the grid.
func TestDepthsAgainstSamples(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		intervals := anyIntervals(30).Draw(t, "intervals")
		want := make(Depths, len(intervals)+1)
		peak := 0
		for at := time.Duration(0); at < 60*ms; at += ms { // the grid ends at 40 + 20
			depth := 0
			for _, i := range intervals {
				if i.Start <= at && at < i.End {
					depth++
				}
			}
			want[depth] += ms
			peak = max(peak, depth)
		}
		depths := NewDepths(intervals)
		require.Equal(t, peak, Peak(intervals))
		require.Equal(t, want[1:peak+1], depths[1:])
		for v := range peak + 2 {
			var loss time.Duration
			for d := v + 1; d <= peak; d++ {
				loss += time.Duration(d-v) * want[d]
			}
			require.Equal(t, loss, Unavoidable(intervals, v))
		}
	})
}

// By hand, and as long at each depth as [NewDepths] says.
func TestDepthSteps(t *testing.T) {
	in := func(from, to int) Interval { return Interval{time.Duration(from), time.Duration(to)} }
	require.Equal(t, []DepthStep{{0, 1}, {2, 2}, {4, 3}, {5, 1}, {10, 0}, {20, 1}, {30, 0}},
		DepthSteps([]Interval{in(0, 10), in(2, 5), in(4, 5), in(20, 25), in(25, 30), in(9, 9)}))
	require.Empty(t, DepthSteps(nil))
	rapid.Check(t, func(t *rapid.T) {
		var list []Interval
		for range rapid.IntRange(0, 20).Draw(t, "notes") {
			start := time.Duration(rapid.IntRange(0, 30).Draw(t, "start"))
			list = append(list, Interval{start, start + time.Duration(rapid.IntRange(0, 9).Draw(t, "length"))})
		}
		depths := make(Depths, len(NewDepths(list)))
		steps := DepthSteps(list)
		for i := range steps[:max(0, len(steps)-1)] {
			require.NotEqual(t, steps[i].Depth, steps[i+1].Depth)
			depths[steps[i].Depth] += steps[i+1].At - steps[i].At
		}
		require.Equal(t, NewDepths(list), depths)
	})
}

// What lasts a nanosecond counts, and so does what it overlaps by; what ends before it begins lasts no time.
func TestShortestLengths(t *testing.T) {
	require.Zero(t, Interval{5, 3}.Length())
	one := []Interval{{0, 1}, {0, 1}}
	require.Equal(t, 2, Peak(one))
	require.Equal(t, 1, FewestDamaged(one, 1))
	require.Equal(t, 1, FewestDamaged([]Interval{{0, 11}, {10, 20}}, 1))
	require.Equal(t, Weight(1), NewPlans(one, []Weight{1, 1}).Lost(1))
	require.Equal(t, 2, NewPlans(one, []Weight{1, 1}).Peak())
}
