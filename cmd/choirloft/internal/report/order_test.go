package report

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/alloc/study"
)

// totals makes what badness looks at.
func totals(damaged, overlap, otherTails int, loudest, lost float64) *Result {
	r := &Result{}
	r.Damaged, r.LostGateS = damaged, lost
	r.Endings[study.OverlapOnly], r.Endings[study.TailCutOtherKey] = overlap, otherTails
	if otherTails > 0 {
		r.LoudestCutDB = &loudest
	}
	return r
}

// TestBadness follows TRADE §8: damaged other than overlap-only, audible cuts
// by another key, loudest cut, lost seconds, overlap-only.
func TestBadness(t *testing.T) {
	order := []*Result{
		totals(3, 0, 0, 0, 0.1),
		totals(9, 7, 5, -1, 9), // 2 other than overlaps
		totals(8, 8, 5, -1, 9),
		totals(8, 8, 4, -3, 9),
		totals(8, 8, 4, -4, 9),
		totals(8, 8, 4, -4, 8),
		totals(7, 7, 4, -4, 8),
		totals(1, 1, 0, 0, 0.05),
		totals(0, 0, 0, 0, 0),
	}
	for i := range order {
		for j := range order {
			require.Equal(t, i < j, Badness(order[i], order[j]) < 0, "%d, %d", i, j)
		}
	}
	shuffled := []*Result{order[4], order[0], order[8], order[2], order[6], order[1], order[7], order[3], order[5]}
	require.Equal(t, order, (&Songs{Songs: shuffled}).WorstFirst())
}

func TestWorstLosses(t *testing.T) {
	loss := func(e study.Ending, lost, db float64, outer bool) Loss {
		return Loss{Ending: endingName(e), LostS: lost, LevelDB: &db, Outer: outer}
	}
	worstFirst := []Loss{
		loss(study.HeldCut, 2, -9, false),
		loss(study.PedalCut, 1, -3, true),
		loss(study.BornCut, 1, 0, false),
		loss(study.TailCutOtherKey, 0, -3, false),
		loss(study.TailCutOtherKey, 0, -12, false),
		loss(study.OverlapOnly, 0.06, 0, false),
		loss(study.TailCutOwnKey, 0, 0, false),
	}
	backwards := slices.Clone(worstFirst)
	slices.Reverse(backwards)
	r := &Result{Losses: backwards, worst: worst(backwards)}
	var got []Loss
	for _, l := range r.Worst(100) {
		got = append(got, *l)
	}
	require.Equal(t, worstFirst, got)
	require.Len(t, r.Worst(3), 3)
}

func TestNamesOfSongs(t *testing.T) {
	long := strings.Repeat("a", 30) + "0123456789.mid" // 44 characters
	var results []*Result
	for _, file := range []string{"x/a.mid", "x/b.mid", "y/b.mid", "-", long} {
		results = append(results, &Result{Song: Song{File: file}})
	}
	short := "…" + strings.Repeat("a", 21) + "0123456789.mid" // 36
	require.Equal(t, []string{"a.mid", "x/b.mid", "y/b.mid", "standard input", short}, Names(results))
}
