package tuning

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// TestNorris: NIST StRD, data set Norris, linear least squares, 36 points.
// Certified values from the same source. testdata/norris.csv holds the data.
func TestNorris(t *testing.T) {
	f, err := os.Open("testdata/norris.csv")
	require.NoError(t, err)
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	require.NoError(t, err)
	var x, y []float64
	for _, row := range rows[1:] {
		a, err := strconv.ParseFloat(row[0], 64)
		require.NoError(t, err)
		b, err := strconv.ParseFloat(row[1], 64)
		require.NoError(t, err)
		x, y = append(x, a), append(y, b)
	}
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
	require.Equal(t, Line{Intercept: 0, Slope: 2, Count: 2, SD: 0, R2: 1}, l)
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
