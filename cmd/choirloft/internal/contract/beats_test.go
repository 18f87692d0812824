package contract

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// A place is told as a player counts it: to the nearest quarter or third of a beat, and on to the next bar.
func TestCounted(t *testing.T) {
	l := &Lanes{Bars: []BarLine{{Bar: 1, Beats: 4}, {Bar: 2, Beats: 3}}}
	for _, c := range []struct {
		bar     int
		beat    float64
		wantBar int
		want    float64
	}{
		{1, 1, 1, 1}, {1, 1.12, 1, 1}, {1, 1.13, 1, 1.25}, {1, 1.17, 1, 1.25}, {1, 1.48, 1, 1.5},
		{1, 3.87, 1, 3.75}, {1, 3.88, 1, 4}, {1, 4.87, 1, 4.75}, {1, 4.99, 2, 1}, {2, 3.9, 3, 1},
		{3, 4.99, 3, 5}, // how many beats bar 3 has is not known
	} {
		bar, beat := l.Counted(c.bar, c.beat)
		require.Equal(t, c.wantBar, bar, "%d %g", c.bar, c.beat)
		require.InDelta(t, c.want, beat, 1e-9, "%d %g", c.bar, c.beat)
	}
	rapid.Check(t, func(t *rapid.T) {
		at := rapid.Float64Range(1, 4.999).Draw(t, "beat")
		bar, beat := l.Counted(1, at)
		require.LessOrEqual(t, math.Abs(float64(bar-1)*4+beat-at), 1./8+1e-9)
	})
}

// Two voices are too few from 1 to 3 s, and where a window ends.
func TestTooFew(t *testing.T) {
	l := &Lanes{Seconds: 6, Pedal: []DepthStep{{0, 2}, {1, 3}, {2, 4}, {3, 0}, {5, 3}}}
	require.Equal(t, []Window{{1, 3}, {5, 6}}, l.TooFew(2, Window{0, 6}))
	require.Equal(t, []Window{{2, 2.5}}, l.TooFew(2, Window{2, 2.5}))
	require.Equal(t, []Window{{2, 3}}, l.TooFew(3, Window{0, 6}))
	require.Empty(t, l.TooFew(4, Window{0, 6}))
}

// Whether only a tail is lost goes by the ending: a voice may be taken at the instant at which the key goes up.
func TestMarksOfTails(t *testing.T) {
	l := &Lanes{Spans: []LaneSpan{
		{Voice: 1, LowS: 1, EndS: 2, Ending: "tail_cut_other_key"}, {Voice: 2, LowS: 2, EndS: 2, Ending: "tail_cut_own_key"},
		{Voice: 3, LowS: 2, EndS: 2, Ending: "held_cut"}, {Voice: 4, LowS: 2, EndS: 3, LateStart: true}}}
	var tails []bool
	for _, m := range (&Result{}).MarksOn(l) {
		tails = append(tails, m.Tail)
	}
	require.Equal(t, []bool{true, true, false, false}, tails)
}
