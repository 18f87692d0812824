package detune_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"choirloft/routing/detune"
)

func TestFrequencyOfAKey(t *testing.T) {
	for name, c := range map[string]struct{ key, want, within float64 }{
		// ISO 16:1975
		"A4": {69, 440, 0},
		// CRC Handbook of Chemistry and Physics, sec. 14, table 1; half a unit of its last place
		"C0": {12, 16.352, 5e-4}, "C#0": {13, 17.324, 5e-4}, "D0": {14, 18.354, 5e-4}, "E0": {16, 20.602, 5e-4},
		"C2": {36, 65.406, 5e-4}, "D2": {38, 73.416, 5e-4}, "E2": {40, 82.407, 5e-4},
		"C4": {60, 261.63, 5e-3}, "C#4": {61, 277.18, 5e-3}, "E4": {64, 329.63, 5e-3}, "F4": {65, 349.23, 5e-3},
		"C6": {84, 1046.50, 5e-3}, "E6": {88, 1318.51, 5e-3},
		// 440·2^((key − 69)/12)
		"key 0": {0, 8.1757989156, 1e-9}, "key 21": {21, 27.5, 1e-9}, "key 60": {60, 261.6255653006, 1e-9},
		"key 108": {108, 4186.0090448096, 1e-9}, "key 127": {127, 12543.8539514160, 1e-9},
		// 440·2^(0.5/12) = 440·1.0293022
		"a quarter tone above A4": {69.5, 452.892984, 1e-6},
	} {
		t.Run(name, func(t *testing.T) {
			require.InDelta(t, c.want, float64(detune.Frequency(440, c.key)), c.within)
		})
	}
	require.InDelta(t, 443*2, float64(detune.Frequency(443, 81)), 1e-9) // an octave above another a4
}

func TestDeltaAndCentsOfBeat(t *testing.T) {
	for _, c := range []struct {
		pitch  detune.Hertz
		detune detune.Cents
		beat   float64
		within float64
	}{
		// 440·(2^(c/1200) − 1)
		{440, 1, 0.2542, 5e-5}, {440, 7, 1.7827, 5e-5}, {440, 10, 2.5489, 5e-5},
		{440, 1200, 440, 1e-9}, {440, -1200, -220, 1e-9}, // an octave doubles or halves
		{200, 701.955001, 100, 1e-6}, // 3/2 = 701.955001 cents
		{440, 0, 0, 0},
		{1000, 1e-9, 1000 * 1e-9 * math.Ln2 / 1200, 1e-21}, // first order, nothing lost to rounding
	} {
		got := detune.Delta(c.pitch, c.detune)
		require.InDelta(t, c.beat, float64(got), c.within, "%g cents at %g Hz", float64(c.detune), float64(c.pitch))
		require.InDelta(t, float64(c.detune), float64(detune.CentsOfBeat(c.pitch, got)), 1e-9)
	}
	require.True(t, math.IsInf(float64(detune.CentsOfBeat(440, -440)), -1)) // 1 + b/f = 0
	require.True(t, math.IsNaN(float64(detune.CentsOfBeat(440, -441))))
}

func TestCentsOfBeatTurnsDeltaAround(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := detune.Hertz(rapid.Float64Range(8, 13000).Draw(t, "f"))
		c := rapid.Float64Range(-2400, 2400).Draw(t, "c")
		require.InDelta(t, c, float64(detune.CentsOfBeat(f, detune.Delta(f, detune.Cents(c)))), 1e-8)
	})
}

func TestScalingOverKeys(t *testing.T) {
	hertz := detune.Scaling{Exponent: detune.ConstantHertz, Reference: 440}
	between := detune.Scaling{Exponent: 0.5, Reference: 440}
	for name, c := range map[string]struct {
		scaling detune.Scaling
		at      detune.Hertz
		want    float64
	}{
		"cents":                     {detune.Scaling{}, 880, 12},
		"hertz at the reference":    {hertz, 440, 12},
		"hertz an octave up":        {hertz, 880, 6},  // 12·(440/880)
		"hertz an octave down":      {hertz, 220, 24}, // 12·(440/220)
		"between at the reference":  {between, 440, 12},
		"between an octave up":      {between, 880, 8.485281},                                        // 12/√2
		"between two octaves down":  {between, 110, 24},                                              // 12·√4
		"between, nearer the hertz": {detune.Scaling{Exponent: 0.75, Reference: 440}, 880, 7.135242}, // 12/2^0.75 = 12/1.681793
	} {
		t.Run(name, func(t *testing.T) {
			require.NoError(t, c.scaling.Check())
			require.InDelta(t, c.want, float64(c.scaling.At(12, c.at)), 1e-6)
			near(t, cents{detune.Cents(-c.want), 0, detune.Cents(c.want)}, c.scaling.Stack(cents{-12, 0, 12}, c.at), 1e-6)
		})
	}
}

func TestConstantHertzIsConstantToFirstOrder(t *testing.T) {
	// The beat of c cents at f is f·(x + x²/2 + …), x = c·ln2/1200; constant is f·x, so the share
	// above it is x/2 = c·ln2/2400 and a little (x²/6).
	s := detune.Scaling{Exponent: detune.ConstantHertz, Reference: 440}
	wanted := 440 * 10 * math.Ln2 / 1200
	for _, f := range []detune.Hertz{110, 440, 1760} {
		c := s.At(10, f)
		share := float64(detune.Delta(f, c))/wanted - 1
		x := float64(c) * math.Ln2 / 1200
		require.InDelta(t, float64(c)*math.Ln2/2400, share, x*x/5)
	}
	require.InDelta(t, 0.003, 10*math.Ln2/2400, 0.0002) // the 0.3 % of the doc comment
}

func TestScalingsThatAreRefused(t *testing.T) {
	for name, c := range map[string]struct {
		scaling detune.Scaling
		want    string
	}{
		"below":             {detune.Scaling{Exponent: -0.01, Reference: 440}, "found an exponent of -0.01, want 0 (constant cents) to 1 (constant hertz)"},
		"above":             {detune.Scaling{Exponent: 1.01, Reference: 440}, "found an exponent of 1.01, want 0 (constant cents) to 1 (constant hertz)"},
		"none":              {detune.Scaling{Exponent: math.NaN(), Reference: 440}, "found an exponent of NaN, want 0 (constant cents) to 1 (constant hertz)"},
		"no reference":      {detune.Scaling{Exponent: 0.01}, "found a reference of 0 Hz, want a pitch above 0"},
		"endless reference": {detune.Scaling{Exponent: 1, Reference: detune.Hertz(math.Inf(1))}, "found a reference of +Inf Hz, want a pitch above 0"},
	} {
		t.Run(name, func(t *testing.T) { require.EqualError(t, c.scaling.Check(), c.want) })
	}
	require.NoError(t, detune.Scaling{}.Check())
	require.NoError(t, detune.Scaling{Exponent: 1, Reference: 0.1}.Check())
}
