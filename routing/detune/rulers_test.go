package detune_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/routing/detune"
)

// lengths of the optimal Golomb rulers of 1 to 12 marks: known by exhaustive search; from memory.
var lengths = []int{0, 1, 3, 6, 11, 17, 25, 34, 44, 55, 72, 85}

// ruler reads the marks of the uneven law back, by asking for one cent a mark.
func ruler(t *testing.T, n int) []int {
	t.Helper()
	length := lengths[n-1]
	marks := make([]int, n)
	for i, c := range spread(t, detune.Spec{Voices: n, Width: detune.Cents(length)}) {
		at := float64(c) + float64(length)/2
		marks[i] = int(math.Round(at))
		require.InDelta(t, float64(marks[i]), at, 1e-9, "mark %d of %d", i, n)
	}
	return marks
}

func TestRulersHaveNoTwoDifferencesAlike(t *testing.T) {
	for n := 1; n <= detune.MaxUneven; n++ {
		marks := ruler(t, n)
		require.Equal(t, 0, marks[0])
		require.Equal(t, lengths[n-1], marks[n-1])
		seen := map[int]bool{}
		for i, low := range marks {
			for _, high := range marks[i+1:] {
				require.False(t, seen[high-low], "%d marks %v: %d twice", n, marks, high-low)
				seen[high-low] = true
			}
		}
		require.Len(t, seen, n*(n-1)/2)
	}
}

func TestNoShorterRulerExists(t *testing.T) {
	for n := 1; n <= 8; n++ {
		length := lengths[n-1]
		require.True(t, rulerWithin([]int{0}, n, length), "the search misses the ruler of %d", n)
		require.False(t, rulerWithin([]int{0}, n, length-1), "%d marks fit in less than %d", n, length)
	}
}

// rulerWithin tells whether marks can be made up to n marks, none beyond most,
// with all differences distinct. It tries everything.
func rulerWithin(marks []int, n, most int) bool {
	if len(marks) == n {
		return marks[n-1] <= most
	}
	for next := marks[len(marks)-1] + 1; next <= most; next++ {
		longer := append(marks[:len(marks):len(marks)], next)
		if allDiffer(longer) && rulerWithin(longer, n, most) {
			return true
		}
	}
	return false
}

func allDiffer(marks []int) bool {
	var seen [128]bool
	for i, low := range marks {
		for _, high := range marks[i+1:] {
			if seen[high-low] {
				return false
			}
			seen[high-low] = true
		}
	}
	return true
}
