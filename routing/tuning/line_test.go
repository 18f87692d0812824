package tuning

import (
	"encoding/csv"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// TestNorris: NIST StRD, data set Norris, linear least squares, 36 points.
// Certified values from the same source. testdata/norris.csv holds the data.
func TestNorris(t *testing.T) {
	x, y := norris(t)
	l, ok := FitLine(x, y, nil)
	require.True(t, ok)
	require.Equal(t, 36, l.Count)
	for _, c := range []struct{ certified, got float64 }{
		{-0.262323073774029, l.Intercept},
		{1.00211681802045, l.Slope},
		{0.884796396144373, l.SD},
		{0.999993745883712, l.R2},
	} {
		digits := -math.Log10(math.Abs(c.got-c.certified) / math.Abs(c.certified))
		require.GreaterOrEqual(t, digits, 12.0, "%v, certified %v", c.got, c.certified)
	}
}

func norris(t *testing.T) (x, y []float64) {
	f, err := os.Open("testdata/norris.csv")
	require.NoError(t, err)
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	require.NoError(t, err)
	for _, row := range rows[1:] {
		a, err := strconv.ParseFloat(row[0], 64)
		require.NoError(t, err)
		b, err := strconv.ParseFloat(row[1], 64)
		require.NoError(t, err)
		x, y = append(x, a), append(y, b)
	}
	return x, y
}

// TestNorrisLimits: of the same data the standard errors that are certified, B0
// 0.232818234301152 and B1 0.429796848199937E-03 (NIST StRD, Norris), and what follows
// of them for a prediction: its variance is s² + s(B0)² at 0, and at x it is
// s² + s(B0)² + 2·x·cov + x²·s(B1)² with cov = −mean·s(B1)². Student's t of 34 degrees
// for 95 % is 2.032 (printed tables).
func TestNorrisLimits(t *testing.T) {
	x, y := norris(t)
	l, ok := FitLine(x, y, nil)
	require.True(t, ok)
	const s, sd0, sd1, student = 0.884796396144373, 0.232818234301152, 0.429796848199937e-03, 2.032245
	require.InEpsilon(t, sd1, l.SD/math.Sqrt(l.SXX), 1e-11)
	require.InEpsilon(t, sd0, l.SD*math.Sqrt(1/float64(l.Count)+l.MeanX*l.MeanX/l.SXX), 1e-11)
	for _, at := range []float64{0, 100, 429.7, 996.3, 2000} {
		variance := s*s + sd0*sd0 - 2*at*l.MeanX*sd1*sd1 + at*at*sd1*sd1
		require.InEpsilon(t, student*math.Sqrt(variance), l.Limit(at, 0.95, 0), 1e-6, at)
	}
	require.InEpsilon(t, 10/s, l.Limit(0, 0.95, 10)/l.Limit(0, 0.95, 0), 1e-9) // never below a reading's own
}

// Few readings have wide limits: of readings with an error of one sigma, 95 % of
// further ones lie within, whatever their number; seeded.
func TestLimitsHold(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	for _, n := range []int{3, 4, 8} {
		within, wide := 0, 0.0
		const rounds = 4000
		for range rounds {
			var x, y []float64
			for i := range n {
				x, y = append(x, float64(i)), append(y, rng.NormFloat64())
			}
			l, _ := FitLine(x, y, nil)
			limit := l.Limit(0, 0.95, 0)
			wide += limit / rounds
			if math.Abs(rng.NormFloat64()-l.At(0)) <= limit {
				within++
			}
		}
		require.InDelta(t, 0.95, float64(within)/rounds, 0.011, n) // three deviations of the count
		if n == 3 {
			require.Greater(t, wide, 10.0) // t of one degree is 12.706
		}
	}
}

// A weight counts as a point that stands there so often.
func TestWeights(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(3, 8).Draw(t, "points")
		var x, y, w, manyX, manyY []float64
		for i := range n {
			px, py := float64(i), rapid.Float64Range(-10, 10).Draw(t, "y")
			times := rapid.IntRange(1, 4).Draw(t, "weight")
			x, y, w = append(x, px), append(y, py), append(w, float64(times))
			for range times {
				manyX, manyY = append(manyX, px), append(manyY, py)
			}
		}
		one, _ := FitLine(x, y, w)
		many, _ := FitLine(manyX, manyY, nil)
		require.InDelta(t, many.Slope, one.Slope, 1e-9)
		require.InDelta(t, many.Intercept, one.Intercept, 1e-9)
	})
}

func TestLineNeedsTwoPoints(t *testing.T) {
	_, ok := FitLine([]float64{1}, []float64{2}, nil)
	require.False(t, ok)
	_, ok = FitLine([]float64{1, 1}, []float64{2, 3}, nil)
	require.False(t, ok)
	l, ok := FitLine([]float64{1, 2}, []float64{2, 4}, nil)
	require.True(t, ok)
	require.Equal(t, Line{Intercept: 0, Slope: 2, Count: 2, SD: 0, R2: 1, MeanX: 1.5, SXX: 0.5}, l)
	require.True(t, math.IsInf(l.Limit(1.5, 0.95, 0), 1)) // nothing contradicts two points
}

// Iglewicz & Hoaglin 1993: 0.6745·(x − median)/MAD, flagged above 3.5. Of these
// eight the median is 0.25 and the MAD 0.75, and the last scores
// 0.6745·13.75/0.75 = 12.3658.
func TestModifiedZ(t *testing.T) {
	values := []float64{-1.2, .4, .9, -.3, .1, 1.1, -.8, 14}
	s := ModifiedZ(values)
	require.InDelta(t, 0.25, s.Median, 1e-12)
	require.InDelta(t, 0.75, s.MAD, 1e-12)
	require.InDelta(t, 12.3658, s.Z[7], 5e-5)
	for i, z := range s.Z[:7] {
		require.Less(t, math.Abs(z), ModifiedZLimit, i)
	}

	// Shiffler 1988: of n values no z-score passes (n−1)/√n, for 8 2.4749, so that
	// a limit of three deviations could not find the same voice.
	require.Less(t, plainZ(values), 7/math.Sqrt(8))
	require.InDelta(t, 2.4749, 7/math.Sqrt(8), 5e-5)
	values[7] = 1e6
	require.Less(t, plainZ(values), 2.4750)
	require.Greater(t, ModifiedZ(values).Z[7], 1e5)
}

// plainZ is the z-score of the last value.
func plainZ(values []float64) float64 {
	var mean, square float64
	for _, v := range values {
		mean += v / float64(len(values))
	}
	for _, v := range values {
		square += (v - mean) * (v - mean)
	}
	return (values[len(values)-1] - mean) / math.Sqrt(square/float64(len(values)-1))
}

func TestUndetermined(t *testing.T) {
	for _, values := range [][]float64{nil, {1}, {1, 14}, {0, 0, 14}, {0, 0, 0, 14}, {2, 2, 2}} {
		s := ModifiedZ(values)
		require.True(t, s.Undetermined, values)
		require.Nil(t, s.Z)
	}
	require.False(t, ModifiedZ([]float64{0, 0.1, 14}).Undetermined)
}
