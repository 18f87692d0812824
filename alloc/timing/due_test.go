package timing_test

import (
	"cmp"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"choirloft/alloc"
	"choirloft/alloc/timing"
)

// Edges that are taken as they become due are those of the whole run, whatever
// is decided, as long as no two decisions stand at one instant.
func TestDueAgainstEdges(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		whole, live := timing.New(hardware, timing.Live, 3, true), timing.New(hardware, timing.Live, 3, true)
		var got []timing.Edge
		keep := func(e *timing.Edge) { got = append(got, *e) }
		at, high := time.Duration(0), [3]bool{}
		for n := range rapid.IntRange(0, 60).Draw(t, "decisions") {
			at += time.Duration(rapid.SampledFrom([]int{1, 500, 1000, 2999, 3000, 5000, 20000}).Draw(t, "later")) * time.Microsecond
			d := alloc.Decision{At: at, Voice: int32(rapid.IntRange(0, 2).Draw(t, "voice")), Note: alloc.NoteID(n), Pitch: float64(n)}
			d.Kind = alloc.Take
			if high[d.Voice] {
				d.Kind = rapid.SampledFrom([]alloc.DecisionKind{alloc.Take, alloc.Reattack, alloc.Release, alloc.Bend, alloc.Pressure, alloc.Slide}).Draw(t, "kind")
			}
			high[d.Voice] = d.Kind != alloc.Release
			require.Equal(t, whole.Decide(&d), live.Decide(&d))
			live.Due(at, keep)
			if rapid.Bool().Draw(t, "timer") {
				if next, ok := live.Next(); ok {
					require.Greater(t, next, at)
				}
			}
		}
		live.Due(time.Hour, keep)
		_, ok := live.Next()
		require.False(t, ok)
		want := whole.Edges()
		slices.SortStableFunc(got, func(a, b timing.Edge) int { return cmp.Or(cmp.Compare(a.At, b.At), cmp.Compare(a.Voice, b.Voice)) })
		require.Equal(t, want, got)
	})
}
