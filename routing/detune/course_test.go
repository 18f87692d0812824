package detune_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"choirloft/routing/detune"
)

// Two voices D hertz apart are |cos(πDt)| of both together: −3.01 dB after a quarter of the
// beat, in step again after all of it.
func TestTwoInStep(t *testing.T) {
	c, err := detune.NewCourse(spaced(220, 0.5), 220)
	require.NoError(t, err)
	require.InDelta(t, -3.0103, c.LevelDB(0.5), 1e-4)
	at, again := c.InStep()
	require.True(t, again)
	require.InDelta(t, 2, float64(at), 1e-6)
}

// What does not beat is never away, and what takes longer than 30 s is not found.
func TestNeverInStepAgain(t *testing.T) {
	for _, stack := range []cents{{0, 0, 0}, spaced(220, 1/40.0), {0}} {
		c, err := detune.NewCourse(stack, 220)
		require.NoError(t, err)
		at, again := c.InStep()
		require.False(t, again)
		require.Equal(t, detune.InStepWithin, at)
	}
}

// Golden gaps put four voices over 12 cents within 1 dB of in step after 2.2 s at middle C, and
// within 0.1 dB not before 9.9 s: by a plain sum of turning arrows every millisecond.
func TestGoldenInStep(t *testing.T) {
	stack, err := detune.Spec{Law: detune.Golden, Voices: 4, Width: 12}.Spread()
	require.NoError(t, err)
	c, err := detune.NewCourse(stack, 261.6256)
	require.NoError(t, err)
	at, again := c.InStep()
	require.True(t, again)
	first := func(db float64) float64 {
		for ms := 500; ; ms++ {
			if 20*math.Log10(loudness(stack, 261.6256, detune.Seconds(ms)/1000)/4) > db {
				return float64(ms) / 1000
			}
		}
	}
	require.InDelta(t, first(c.LevelDB(at)-0.001), float64(at), 0.02)
	require.InDelta(t, 2.2, float64(at), 0.05)
	require.InDelta(t, 9.9, first(-0.1), 0.05)
}

// The steps pass no swell that a walk in small ones finds.
func TestInStepLikeASlowWalk(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		stack := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) detune.Cents { return detune.Cents(rapid.Float64Range(-10, 10).Draw(t, "cents")) }), 2, 5).Draw(t, "stack")
		c, err := detune.NewCourse(stack, 220)
		require.NoError(t, err)
		level := func(at float64) float64 {
			return 20 * math.Log10(loudness(stack, 220, detune.Seconds(at))/float64(len(stack)))
		}
		at, again := c.InStep()
		away, last := false, 0.0
		for ms := 0; float64(ms)/1000 < float64(at); ms += 5 {
			last = level(float64(ms) / 1000)
			away = away || last < -1
			if away && last > -0.93 {
				require.True(t, again)
				for ; float64(ms)/1000 < float64(at); ms += 5 {
					require.Greater(t, level(float64(ms)/1000), -1.0, "on the way to the top")
				}
				return
			}
		}
	})
}
