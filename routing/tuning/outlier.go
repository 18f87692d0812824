package tuning

import (
	"math"
	"slices"
)

const (
	// ModifiedZLimit is the modified z-score above which a value stands apart
	// (Iglewicz & Hoaglin 1993).
	ModifiedZLimit = 3.5
	// consistent makes the median absolute deviation of a normal distribution
	// its standard deviation: Φ⁻¹(¾), rounded as in that paper.
	consistent = 0.6745
	// fewest is the fewest values of which one can stand apart: of two, both are
	// as far from the median.
	fewest = 3
)

// Scores are the modified z-scores of some values.
type Scores struct {
	Median float64
	MAD    float64   // median absolute deviation from the median
	Z      []float64 // 0.6745·(value − median)/MAD, by value; nil where undetermined
	// Undetermined: fewer than three values, or more than half of them alike, so
	// that there is no scatter to measure by.
	Undetermined bool
}

// ModifiedZ scores values against their median. Unlike a plain z-score, which
// among n values cannot pass (n−1)/√n (Shiffler 1988) and so stays below 3 for
// up to ten voices whatever one of them does, it is not masked by the value it
// looks for.
func ModifiedZ(values []float64) Scores {
	s := Scores{Median: median(values)}
	deviations := make([]float64, len(values))
	for i, v := range values {
		deviations[i] = math.Abs(v - s.Median)
	}
	s.MAD = median(deviations)
	if len(values) < fewest || s.MAD == 0 {
		s.Undetermined = true
		return s
	}
	for _, v := range values {
		s.Z = append(s.Z, consistent*(v-s.Median)/s.MAD)
	}
	return s
}

// median is the middle value, or the mean of the two in the middle; 0 of none.
func median(values []float64) float64 {
	sorted := slices.Sorted(slices.Values(values))
	n := len(sorted)
	switch {
	case n == 0:
		return 0
	case n%2 == 1:
		return sorted[n/2]
	}
	return (sorted[n/2-1] + sorted[n/2]) / 2
}
