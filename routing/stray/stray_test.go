package stray

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/stat/distuv"
)

// Quantiles of Student's t against gonum's stat/distuv (v0.17.0), and the first row of
// every printed table: t(0.975, 1) = 12.706, t(0.9995, 1) = 636.619.
func TestStudentAgainstGonum(t *testing.T) {
	require.InDelta(t, 12.7062, Quantile(0.975, 1), 1e-4)
	require.InDelta(t, 636.619, Quantile(0.9995, 1), 1e-3)
	for free := 1; free <= 60; free++ {
		d := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(free)}
		for _, share := range []float64{0.6, 0.9, 0.975, 0.9995} {
			require.InEpsilon(t, d.Quantile(share), Quantile(share, free), 1e-6, "%g, %d", share, free)
		}
		for _, x := range []float64{-3, -0.2, 0, 1, 4} {
			require.InDelta(t, d.CDF(x), Below(x, free), 1e-9, "%g, %d", x, free)
		}
	}
}

// Sums that can be worked out by hand. A limit a alone holds 95 % within 0.95 a; two alike
// make a triangle on ±2a, of which (1 − h/2a)² lies beyond h: h = 2a·(1 − √0.05) = 1.552786 a.
// Normal ones: 1.959964 of √(σ₁² + σ₂²); a fit: t(0.975, ν). A shift b and a limit a with
// b > 0.05 a: 95 % of −a…+a lie below b + 0.9 a.
func TestLikelyByHand(t *testing.T) {
	for _, c := range []struct {
		name string
		sum  Sum
		want float64
	}{
		{"nothing", nil, 0},
		{"a shift", Sum{{Shift, -3, 0}, {Shift, 1, 0}}, 2},
		{"a limit", Sum{{Limit, 4, 0}}, 3.8},
		{"two limits", Sum{{Limit, 4, 0}, {Limit, 4, 0}}, 4 * 1.552786},
		{"two deviations", Sum{{Deviation, 3, 0}, {Deviation, 4, 0}}, 5 * 1.959964},
		{"a fit", Sum{{Fit, 2, 4}}, 2 * 2.776445},
		{"a shift and a limit", Sum{{Shift, -10, 0}, {Limit, 2, 0}}, 11.8},
		{"a small shift and a limit", Sum{{Shift, 0.05, 0}, {Limit, 2, 0}}, 1.9},
		{"a shift and a deviation", Sum{{Shift, 10, 0}, {Deviation, 1, 0}}, 10 + 1.644854}, // one side
	} {
		require.InDelta(t, c.want, c.sum.Likely(), 0.01*c.want+1e-9, c.name)
	}
}

// A limit and a deviation: P(|X| ≤ h) = ∫ (Φ((h − u)/σ) − Φ((−h − u)/σ)) du/2a, by gonum's
// quadrature, is 95 % at the h that is found.
func TestLikelyAgainstQuadrature(t *testing.T) {
	for _, c := range [][3]float64{{9, 2, 0}, {1, 2, 0}, {3, 0.2, 1.5}, {5, 5, 20}} {
		limit, sigma, shift := c[0], c[1], c[2]
		h := Sum{{Limit, limit, 0}, {Deviation, sigma, 0}, {Shift, shift, 0}}.Likely()
		n := distuv.Normal{Mu: 0, Sigma: sigma}
		share := quad.Fixed(func(u float64) float64 { return n.CDF(h-u-shift) - n.CDF(-h-u-shift) }, -limit, limit, 400, nil, 0) / (2 * limit)
		require.InDelta(t, 0.95, share, 0.0015, "%v: %g", c, h)
	}
}

// draw is an error of a law.
func (e Error) draw(r *rand.Rand) float64 {
	switch e.Law {
	case Limit:
		return e.Size * (2*r.Float64() - 1)
	case Deviation:
		return e.Size * r.NormFloat64()
	case Fit:
		squares := 0.0
		for range e.Free {
			z := r.NormFloat64()
			squares += z * z
		}
		return e.Size * r.NormFloat64() / math.Sqrt(squares/float64(e.Free))
	}
	return e.Size
}

// Drawn at random, seeded: 5 % lie beyond likely, and at most 0.1 % beyond worst.
// 40 000 draws have a standard error of √(0.05·0.95/40 000) = 0.11 %.
func TestSumsBySimulation(t *testing.T) {
	r := rand.New(rand.NewPCG(23, 1))
	const draws = 40_000
	for _, s := range []Sum{
		{{Limit, 9, 0}, {Limit, 6, 0}, {Limit, 2.4, 0}, {Deviation, 2, 0}, {Shift, -3, 0}},
		{{Limit, 0.05, 0}, {Fit, 0.5, 3}, {Deviation, 2, 0}},
		{{Fit, 0.5, 1}, {Fit, 1.6, 6}, {Limit, 1, 0}},
		{{Fit, 1, 5}, {Fit, 1, 5}},
		{{Limit, 1, 0}, {Limit, 2, 0}, {Limit, 4, 0}},
	} {
		likely, worst, beyond, far := s.Likely(), s.Worst(), 0, 0
		for range draws {
			x := 0.0
			for _, e := range s {
				x += e.draw(r)
			}
			if math.Abs(x) > likely {
				beyond++
			}
			if math.Abs(x) > worst {
				far++
			}
		}
		require.InDelta(t, 0.05, float64(beyond)/draws, 0.005, "%v", s)
		require.LessOrEqual(t, float64(far)/draws, 0.0015, "%v", s)
		require.Less(t, likely, worst)
	}
}

// Worst by hand: |−3| + 9 + 6 + √((3.29·2)² + (8.610302·0.5)²) = 18 + 7.8631; t(0.9995, 4) = 8.610302.
func TestWorstByHand(t *testing.T) {
	s := Sum{{Shift, -3, 0}, {Limit, 9, 0}, {Limit, 6, 0}, {Deviation, 2, 0}, {Fit, 0.5, 4}}
	require.InDelta(t, 18+7.8631, s.Worst(), 1e-3)
	// √(9 + (81 + 36)/3 + 4 + 0.25)
	require.InDelta(t, math.Sqrt(9+39+4.25), s.RMS(), 1e-9)
}
