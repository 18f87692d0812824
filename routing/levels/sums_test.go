package levels

import (
	"math"
	"math/rand/v2"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"

	"choirloft/profiles"
)

// Written out for two and three uniform voices: x = (2 − 1.5)/2 = 0.25, and
// (2/2!)·0.25² = 0.0625; x = (3 − 2.826)/2 = 0.087, (2/3!)·0.087³ = 0.0002195; four
// at 3: x = 0.5, (2/4!)·0.5⁴ = 0.005208. Eight at 4: x = 2, (2/8!)·(2⁸ − 8·1⁸) =
// 248/20160 = 0.012302. Twelve at 8: x = 2, (2/12!)·(2¹² − 12) = 8168/479001600 =
// 0.0000170521. Four squares past 3: both of 16 ways in which all agree, 0.125. Of
// sines the spectrum of the distribution is J₀, and 1 − 2/π·∫ J₀(t)⁴·sin(3t)/t dt is
// 0.03057 (the inversion of Gil-Pelaez 1951, cited from memory).
func TestBeyond(t *testing.T) {
	for _, c := range []struct {
		mix   Mix
		level float64
		want  float64
		off   float64
	}{
		{Mix{profiles.Saw: 2}, 1.5, 0.0625, 1e-12},
		{Mix{profiles.Triangle: 3}, 2.826, 0.000219501, 1e-9},
		{Mix{profiles.Saw: 2, profiles.Triangle: 2}, 3, 0.00520833, 1e-8},
		{Mix{profiles.Saw: 8}, 4, 248. / 20160, 1e-12},
		{Mix{profiles.Triangle: 12}, 8, 8168. / 479001600, 1e-12},
		{Mix{profiles.Sine: 4}, 3, sinesBeyond(4, 3), 1e-5},
		{Mix{profiles.Square: 4}, 3, 0.125, 1e-12},
		{Mix{profiles.Square: 4}, 4, 0, 0}, // not past where all meet
		{Mix{profiles.Saw: 1}, 0.25, 0.75, 1e-12},
		{Mix{}, 0, 0, 0},
	} {
		require.InDelta(t, c.want, c.mix.Beyond(c.level), c.off, "%v past %g", c.mix, c.level)
		if c.mix.Voices() > 0 { // the grid that mixes take says the same as the formula
			require.InDelta(t, c.want, c.mix.grid().beyond(c.level), 3e-4*c.want+c.off, "%v past %g", c.mix, c.level)
		}
	}
}

// sinesBeyond is the integral above, in small steps up to where J₀⁴/t is below 1e-6.
func sinesBeyond(n, c float64) float64 {
	const step, end = 1e-3, 150
	sum := 0.0
	for i := 0.5; i*step < end; i++ {
		at := i * step
		sum += math.Pow(math.J0(at), n) * math.Sin(c*at) / at * step
	}
	return 1 - 2/math.Pi*sum
}

// A normal law of the same rms, by gonum's distuv (v0.17.0), is 3.7 times too high
// for twelve saws past 8 peaks, and says
// 0.471 % for three past 2.826, which is 21 times too much.
func TestNormalLawIsOff(t *testing.T) {
	normal := func(n int, c float64) float64 {
		return 2 * distuv.Normal{Sigma: math.Sqrt(float64(n) / 3)}.Survival(c)
	}
	require.InDelta(t, 3.7, normal(12, 8)/Mix{profiles.Saw: 12}.Beyond(8), 0.05)
	require.InDelta(t, 0.00471, normal(3, 2.826), 1e-5)
}

// The levels that are passed 0.01 % of the time: of one saw 0.9999 by the width of
// the tail, of two 2 − 2·√0.0001 = 1.98, of three 3 − 2·∛0.0003 = 2.8661; of eight
// and 24 from the formula above, in whole numbers and by halving.
func TestPassed(t *testing.T) {
	for n, want := range map[int]float64{1: 0.9999, 2: 1.98, 3: 3 - 2*math.Cbrt(0.0003), 8: 5.817, 24: 10.717} {
		require.InDelta(t, want, Mix{profiles.Saw: n}.Passed(Rare), 5e-4, n)
		require.InEpsilon(t, want, Mix{profiles.Saw: n}.grid().passed(Rare), 1e-4, n)
	}
	require.Zero(t, Mix{}.Passed(Rare))
	require.InEpsilon(t, Mix{profiles.Saw: 24}.Passed(Rare)/math.Sqrt(24), Mix{profiles.Saw: 25}.Passed(Rare)/math.Sqrt(25), 3e-3) // where the grid takes over
}

// Past what is passed a sum is for no more than that share of the time, and just
// below it for more: squares against gonum's binomial law (distuv v0.17.0). Of 13
// squares all agree 2/2¹³ = 0.024 % of the time, of 15 0.006 %.
func TestSquares(t *testing.T) {
	for _, n := range []int{1, 13, 14, 15, 40, 200} {
		law := distuv.Binomial{N: float64(n), P: 0.5}
		past := func(c float64) float64 { // of n squares k are up: the sum is 2k − n
			return 2 * law.Survival((c+float64(n))/2)
		}
		level := Mix{profiles.Square: n}.Passed(Rare)
		require.LessOrEqual(t, past(level), Rare, n)
		require.Greater(t, past(level-0.5), Rare, n)
		require.InDelta(t, past(level-0.5), Mix{profiles.Square: n}.Beyond(level-0.5), 1e-9, n)
	}
}

// Mixes against random phases, seeded: each wave at 300 000 of them.
func TestMixesAgainstRandomPhases(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	waves := [...]func(phase float64) float64{
		profiles.Saw:      func(p float64) float64 { return 2*p - 1 },
		profiles.Sine:     func(p float64) float64 { return math.Sin(2 * math.Pi * p) },
		profiles.Triangle: func(p float64) float64 { return 4*math.Abs(p-0.5) - 1 },
		profiles.Square:   func(p float64) float64 { return math.Copysign(1, p-0.5) },
	}
	const draws = 300_000
	for i, m := range []Mix{{1, 1, 0, 0}, {2, 0, 1, 3}, {0, 5, 0, 1}, {6, 2, 4, 2}, {30, 0, 0, 2}} {
		t.Run(strconv.Itoa(i), func(t *testing.T) {
			rms := 0.0
			for shape, n := range m {
				rms += float64(n) * power[shape]
			}
			levels := []float64{0.3, 1, 1.5, 2}
			past := make([]float64, len(levels))
			for range draws {
				sum := 0.0
				for shape, n := range m {
					for range n {
						sum += waves[shape](rng.Float64())
					}
				}
				for j, c := range levels {
					if math.Abs(sum) > c*math.Sqrt(rms) {
						past[j]++
					}
				}
			}
			for j, c := range levels {
				p := m.Beyond(c * math.Sqrt(rms))
				require.InDelta(t, p, past[j]/draws, 4*math.Sqrt(p*(1-p)/draws)+1e-5, "%v past %g rms", m, c) // four sigma of the count
			}
		})
	}
}
