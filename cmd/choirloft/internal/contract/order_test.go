package contract

import (
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"choirloft/alloc/study"
)

// The order itself is study's; here it goes from the worst to the best.
func TestWorstFirst(t *testing.T) {
	with := func(lost time.Duration) *Result { return &Result{Totals: Totals{LostGateS: lost.Seconds()}} }
	order := []*Result{with(3), with(2), with(1), with(0)}
	shuffled := []*Result{order[2], order[0], order[3], order[1]}
	require.Equal(t, order, (&Songs{Songs: shuffled, Order: worstFirst(shuffled)}).WorstFirst())
}

// Of songs that are sized, one that drops a note comes first, then one that nobody could
// listen to, then by dB·s, however many losses are heard, and then by cut notes.
func TestSizesWorstFirst(t *testing.T) {
	with := func(file string, dropped, damaged, heard int, dbs float64) *SizeResult {
		return &SizeResult{Song: Song{File: file}, Hearing: &Hearing{}, Now: Cost{Dropped: dropped, Damaged: damaged, Heard: &HeardAfter{Plain: heard, Faint: heard}},
			NowHeard: &HeardFigures{DBS: dbs}}
	}
	unheard := with("unheard", 0, 1, 0, 0)
	unheard.NowHeard = nil
	order := []*SizeResult{with("drops", 1, 1, 0, 0), unheard, with("loud", 0, 0, 2, 3.5), with("often", 0, 5, 9, 3.4), with("cuts", 0, 2, 0, 0), with("clean", 0, 0, 0, 0)}
	s := &SizeSongs{Songs: []*SizeResult{order[3], order[5], order[1], order[0], order[4], order[2]}}
	var got []string
	for _, at := range s.worstFirst() {
		got = append(got, s.Songs[at].Song.File)
	}
	require.Equal(t, []string{"drops", "unheard", "loud", "often", "cuts", "clean"}, got)
}

func TestWorstLosses(t *testing.T) {
	loss := func(e study.Ending, lost, db float64, outer bool) Loss {
		return Loss{Ending: EndingName(e), LostS: lost, LevelDB: &db, Outer: outer}
	}
	worstFirst := []Loss{
		loss(study.HeldCut, 2, -9, false),
		loss(study.PedalCut, 1, -3, true),
		loss(study.BornCut, 1, 0, false),
		loss(study.OverlapOnly, 0.06, 0, false),
		loss(study.TailCutOtherKey, 0, -3, false),
		loss(study.TailCutOtherKey, 0, -12, false),
		loss(study.TailCutOwnKey, 0, 0, false),
	}
	backwards := slices.Clone(worstFirst)
	slices.Reverse(backwards)
	r := &Result{Losses: backwards}
	var got []Loss
	for _, at := range r.Worst(100) {
		got = append(got, r.Losses[at])
	}
	require.Equal(t, worstFirst, got)
	require.Len(t, r.Worst(3), 3)
}
