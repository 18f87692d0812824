package study

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"choirloft/alloc"
)

// scoreOf makes what is compared.
func scoreOf(damaged, overlap, otherTails int, loudest float64, lost time.Duration) Score {
	s := Score{Lost: lost, loudest: loudest}
	s.Endings[HeldCut], s.Endings[OverlapOnly], s.Endings[TailCutOtherKey] = damaged-overlap, overlap, otherTails
	return s
}

// The order of the trade: damaged other than overlap-only, audible cuts by
// another key, loudest cut, lost seconds, overlap-only.
func TestScoreCompare(t *testing.T) {
	worstFirst := []Score{
		scoreOf(3, 0, 0, 0, 100*ms),
		scoreOf(9, 7, 5, -1, 9*time.Second), // 2 other than overlaps
		scoreOf(8, 8, 5, -1, 9*time.Second),
		scoreOf(8, 8, 4, -3, 9*time.Second),
		scoreOf(8, 8, 4, -4, 9*time.Second),
		scoreOf(8, 8, 4, -4, 8*time.Second),
		scoreOf(7, 7, 4, -4, 8*time.Second),
		scoreOf(1, 1, 0, 0, 50*ms),
		scoreOf(0, 0, 0, 0, 0),
	}
	for i := range worstFirst {
		for j := range worstFirst {
			require.Equal(t, i < j, worstFirst[i].Compare(&worstFirst[j]) > 0, "%d, %d", i, j)
		}
	}
}

func TestLoudest(t *testing.T) {
	var s Score
	require.True(t, math.IsInf(s.Loudest(), -1))
	for _, db := range []float64{-12, -3, -20} {
		s.add(&Outcome{Ending: TailCutOtherKey, LevelDB: db})
	}
	s.add(&Outcome{Ending: TailCutOwnKey, LevelDB: -1})
	s.add(&Outcome{Ending: HeldCut, LevelDB: 0, Lost: time.Second})
	require.Equal(t, -3.0, s.Loudest())
	require.Equal(t, []int{3, 1, 5}, []int{s.TailCuts(), s.Hurt(), s.Notes})
}

// A rehearsal says what a replay says, by every rule and again and again.
func TestRehearsalScoresLikeAReplay(t *testing.T) {
	r, p := crowdedSong(400, 16)
	ref := NewReference(r, p)
	h := NewRehearsal(p, ref)
	for _, rules := range onlineRulesets() {
		for _, n := range []int{3, 11, 16} {
			with := rules.on(Pooled(r, n))
			replay, err := PlayReference(with, p, ref)
			require.NoError(t, err)
			got, err := h.Score(with)
			require.NoError(t, err)
			require.Equal(t, replay.Rig.Tally.Score, got, "%v on %d", rules, n)
			require.Equal(t, 400, got.Notes)
		}
	}
	bad := r
	bad.Config.Parts = []alloc.Part{{Banks: []int{99}}}
	_, err := h.Score(bad)
	require.ErrorContains(t, err, "no voice in bank 99")
}
