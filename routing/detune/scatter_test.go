package detune_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/routing/detune"
)

func warnings(t *testing.T, stack cents, own detune.Scatter, modules []int) []detune.Warning {
	t.Helper()
	w, err := detune.Warnings(stack, own, modules)
	require.NoError(t, err)
	return w
}

func TestScatterOfAVoice(t *testing.T) {
	// √(2² + 3² + 6²) = √49 = 7
	s := detune.Scatter{Calibration: 2, Drift: 3, LSB: 6}
	require.InDelta(t, 7, float64(s.Sigma()), 1e-12)
	require.InDelta(t, 7*1.128379, float64(s.MeanDifference()), 1e-5) // 2/√π = 1.128379
	require.Zero(t, detune.Scatter{}.Sigma())
	require.Equal(t, detune.Cents(2), detune.Scatter{Drift: 2}.Sigma())
	// 0.732422 cents (14 bit over 10 V: 10·1200/16384)/√12 = 0.732422/3.464102
	require.InDelta(t, 0.211432, float64(detune.RoundingScatter(0.732422)), 1e-6)
}

func TestSwapChanceAgainstTheNormalTable(t *testing.T) {
	// With σ = 1/√2 the chance is Φ(−gap). Standard normal table, from memory.
	for gap, want := range map[detune.Cents]float64{0: 0.5, 1: 0.158655, 2: 0.022750, 3: 0.001350, 1.96: 0.024998} {
		require.InDelta(t, want, detune.SwapChance(gap, 1/math.Sqrt2), 5e-7)
	}
	// at the limit, gap = 2σ: Φ(−√2) = erfc(1)/2 = 0.157299/2
	require.InDelta(t, 0.0786496, detune.SwapChance(4, 2), 5e-7)
	require.InDelta(t, math.Erfc(1)/2, detune.SwapChance(4, 2), 1e-15)
	require.Zero(t, detune.SwapChance(0, 0))
	require.Zero(t, detune.SwapChance(3, 0))
	require.Equal(t, 0.5, detune.SwapChance(0, 1))
}

func TestSwapChanceAgainstTheIntegralOfTheDensity(t *testing.T) {
	for _, gap := range []float64{0, 0.5, 1, 2.5, 4} {
		// ½ less Simpson's sum of e^(−x²/2)/√(2π) from 0 to gap
		const steps = 200
		h, sum := gap/steps, 0.0
		for i := range steps + 1 {
			weight := []float64{2, 4}[i%2]
			if i == 0 || i == steps {
				weight = 1
			}
			x := float64(i) * h
			sum += weight * math.Exp(-x*x/2) / math.Sqrt(2*math.Pi)
		}
		require.InDelta(t, 0.5-sum*h/3, detune.SwapChance(detune.Cents(gap), 1/math.Sqrt2), 1e-9)
	}
}

func TestScatterAgainstDrawnVoices(t *testing.T) {
	// 40 000 pairs 3 cents apart, each voice with σ = 2: share that swap, and the mean difference of
	// pairs meant to be equal. Five deviations of a share of ½ at most: 5·0.5/√40000 = 0.0125; of the
	// mean difference, whose deviation is below 2σ: 5·4/200 = 0.1.
	const runs = 40000
	rng := rand.New(rand.NewPCG(3, 4))
	var swapped, difference float64
	for range runs {
		a, b := 2*rng.NormFloat64(), 2*rng.NormFloat64()
		difference += math.Abs(a-b) / runs
		if b+3 < a {
			swapped += 1.0 / runs
		}
	}
	require.InDelta(t, swapped, detune.SwapChance(3, 2), 0.0125)
	require.InDelta(t, difference, float64(detune.Scatter{Drift: 2}.MeanDifference()), 0.1)
}

func TestBothSidesOfTheSwapLimit(t *testing.T) {
	stack := cents{-6, -2, 2, 6} // gaps of 4
	require.Empty(t, warnings(t, stack, detune.Scatter{Drift: 2}, nil))
	got := warnings(t, stack, detune.Scatter{Drift: 2.001}, nil)
	require.Len(t, got, 1)
	// Φ(−√2) = 0.0786496, and its slope there, e^(−1)/√(2π) = 0.146763, over √2·(1 − 2/2.001) = 0.000707
	require.InDelta(t, 0.0787533, got[0].Chance, 1e-6)
	got[0].Chance = 0
	require.Equal(t, detune.Warning{Code: detune.MaySwap, Low: 0, High: 1, Gap: 4, Limit: 4.002, Pairs: 3}, got[0])
}

func TestBothSidesOfTheLockLimit(t *testing.T) {
	require.Empty(t, warnings(t, cents{0, 2}, detune.Scatter{}, nil))
	require.Equal(t, []detune.Warning{{Code: detune.MayLock, Low: 0, High: 1, Gap: 1.999, Limit: 2, Pairs: 1}},
		warnings(t, cents{0, 1.999}, detune.Scatter{}, nil))
	// gaps of 2 cents by the law (6·⅓), whatever the rounding
	require.Empty(t, warnings(t, spread(t, detune.Spec{Law: detune.Even, Voices: 4, Width: 6}), detune.Scatter{}, nil))
	require.Empty(t, warnings(t, spread(t, detune.Spec{Law: detune.Even, Voices: 8, Width: 14}), detune.Scatter{Drift: 1}, nil))
}

func TestTheClosestPairIsNamed(t *testing.T) {
	// uneven four over 6 cents: −3, −2, 1, 3; neighbours 1, 3, 2 apart. Given from the top.
	got := warnings(t, cents{3, 1, -2, -3}, detune.Scatter{Drift: 1.2}, nil)
	require.Len(t, got, 2)
	require.Equal(t, detune.Warning{Code: detune.MaySwap, Low: 3, High: 2, Gap: 1, Limit: 2.4, Pairs: 2,
		Chance: detune.SwapChance(1, 1.2)}, got[0])
	require.Equal(t, detune.Warning{Code: detune.MayLock, Low: 3, High: 2, Gap: 1, Limit: 2, Pairs: 1}, got[1])
	// Φ(−1/(1.2·√2)) = Φ(−0.589256) = 0.27784; standard normal table, interpolated: 0.2776 (0.59) to 0.2810 (0.58)
	require.InDelta(t, 0.2778, got[0].Chance, 2e-4)
}

func TestLockLooksWithinAModule(t *testing.T) {
	stack := cents{0, 1, 1.5, 9}
	// 0 and 2 share a module with 1.5 cents between them, though voice 1 lies in between
	require.Equal(t, []detune.Warning{{Code: detune.MayLock, Low: 0, High: 2, Gap: 1.5, Limit: 2, Pairs: 1}},
		warnings(t, stack, detune.Scatter{}, []int{7, 8, 7, 8}))
	require.Empty(t, warnings(t, stack, detune.Scatter{}, []int{1, 2, 3, 4}))
	require.Equal(t, 2, warnings(t, stack, detune.Scatter{}, nil)[0].Pairs)
}

func TestStacksWithoutWarnings(t *testing.T) {
	require.Empty(t, warnings(t, nil, detune.Scatter{Drift: 9}, nil))
	require.Empty(t, warnings(t, cents{5}, detune.Scatter{Drift: 9}, nil))
	require.Empty(t, warnings(t, spread(t, detune.Spec{Voices: 4, Width: 12}), detune.Scatter{Drift: 1}, nil)) // smallest gap 2 = 2σ
	same := warnings(t, cents{0, 0}, detune.Scatter{}, nil)                                                    // no scatter, no swap
	require.Equal(t, []detune.Warning{{Code: detune.MayLock, High: 1, Limit: 2, Pairs: 1}}, same)
}

func TestWarningCodes(t *testing.T) {
	require.Equal(t, "may-swap", detune.MaySwap.String())
	require.Equal(t, "may-lock", detune.MayLock.String())
	require.Equal(t, "warning 2", detune.WarningCode(2).String())
}

func TestWarningsThatAreRefused(t *testing.T) {
	for name, c := range map[string]struct {
		stack   cents
		own     detune.Scatter
		modules []int
		want    string
	}{
		"detune":     {cents{detune.Cents(math.Inf(1))}, detune.Scatter{}, nil, "position 0: found a detune of +Inf cents, want a number within ±300000"},
		"scatter":    {cents{0}, detune.Scatter{LSB: -1}, nil, "found a tuning error of -1 cents, want a number from 0"},
		"no scatter": {cents{0}, detune.Scatter{Drift: detune.Cents(math.NaN())}, nil, "found a tuning error of NaN cents, want a number from 0"},
		"modules":    {cents{0, 1}, detune.Scatter{}, []int{1}, "found 1 modules for 2 voices, want one each"},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := detune.Warnings(c.stack, c.own, c.modules)
			require.EqualError(t, err, c.want)
		})
	}
}
