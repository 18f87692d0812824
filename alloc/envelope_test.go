package alloc_test

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"choirloft/alloc"
)

// The sums are those of [alloc.Envelope], worked by hand.
func TestEnvelope(t *testing.T) {
	ms := time.Millisecond
	e := alloc.Envelope{Attack: 100 * ms, Decay: 300 * ms, Sustain: 0.5, Release: time.Second}
	at := func(ms float64) float64 { return ms * 1e6 }
	require.Equal(t, at(150), e.FullAt(50*ms, 0))
	millisecond := alloc.Envelope{Attack: ms}
	require.Equal(t, at(1), millisecond.FullAt(0, 0), "to the last bit")
	require.Zero(t, e.FullAt(0, 1), "it begins at full")
	require.Equal(t, at(7), e.FullAt(7*ms, 1))
	require.InDelta(t, at(57.27065), e.FullAt(10*ms, 0.7), 10) // 100·ln(0.6/0.3)/ln(1.3/0.3) = 47.27065
	at2 := alloc.Envelope{Attack: 2 * ms}
	require.InDelta(t, at(0.94541), at2.FullAt(0, 0.7), 10)
	at2.Attack = 0
	require.Equal(t, at(5), at2.FullAt(5*ms, 0.3))
	at2.Attack = 1
	require.Equal(t, at(5)+1, at2.FullAt(5*ms, 0))
	require.InDelta(t, 0.47, at2.FullAt(0, 0.7), 0.01)

	for _, c := range []struct{ at, level float64 }{
		{50, 0.67550}, // 1.3 − 0.3·√(1.3/0.3)
		{100, 1}, {200, 0.55}, {300, 0.505}, {400, 0.5005},
	} {
		require.InDelta(t, c.level, e.Level(at(100), time.Duration(at(c.at))), 1e-5, "%g ms", c.at)
	}
	for _, begins := range []time.Duration{0, 3, time.Hour + 1} {
		require.Zero(t, e.Level(e.FullAt(begins, 0), begins))
		require.NotZero(t, e.Level(e.FullAt(begins, 0), begins+1))
	}
	for _, c := range []struct {
		decay          time.Duration
		sustain, level float64 // as full is reached
	}{{0, 0.5, 0.5}, {0, 0, 0}, {1, 0.5, 1}, {1, 1, 1}, {0, 1, 1}} {
		e.Decay, e.Sustain = c.decay, c.sustain
		require.Equal(t, c.level, e.Level(at(100), 100*ms), "%+v", c)
		require.InDelta(t, c.sustain, e.Level(at(100), 100*ms+100), 1e-9, "%+v", c)
	}

	e.Decay, e.Sustain = 0, 0.5
	require.InDelta(t, 1, e.Level(at(100)+0.5, 100*ms), 1e-6, "half a nanosecond before")

	require.Equal(t, time.Second, e.Fade(0, -60))
	require.Equal(t, 500*ms, e.Fade(-30, -60))
	require.Equal(t, 500*ms, e.Fade(6, -24))
	require.Zero(t, e.Fade(-60, -60))
	require.Zero(t, e.Fade(-61, -60))
	e.Release = 100
	require.EqualValues(t, 2, e.Fade(0, -1), "100/60, rounded up")
	e.Release = 1
	require.EqualValues(t, 1, e.Fade(0, -60))
	e.Release = 0
	require.Zero(t, e.Fade(0, math.Inf(-1)))

	require.Zero(t, alloc.DB(1))
	require.False(t, math.Signbit(alloc.DB(1)))
	require.InDelta(t, -20, alloc.DB(0.1), 1e-12)
	require.InDelta(t, 20*math.Log10(2), alloc.DB(2), 1e-12)
	require.Equal(t, math.Inf(-1), alloc.DB(0))
}
