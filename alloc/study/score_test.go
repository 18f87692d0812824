package study

import (
	"context"
	"math"
	"slices"
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
	for _, db := range []float64{-3, -12, -20} {
		s.add(&Outcome{Ending: TailCutOtherKey, LevelDB: db})
	}
	s.add(&Outcome{Ending: TailCutOwnKey, LevelDB: -1})
	s.add(&Outcome{Ending: HeldCut, LevelDB: 0, Lost: time.Second})
	require.Equal(t, -3.0, s.Loudest())
	require.Equal(t, []int{3, 1, 5}, []int{s.TailCuts(), s.Hurt(), s.Notes})
}

// By hand: two notes that sound missed their pitch, by a cent up and down; a third that did was dropped.
func TestMissed(t *testing.T) {
	require.Equal(t, 2, ScoreOf([]Outcome{{Missed: 1}, {Missed: -1, Ending: HeldCut}, {Missed: 30, Ending: Dropped}, {}, {}, {Ending: Dropped}}).Missed)
}

// A rehearsal that keeps time says how late each gate opens, and in any case which
// voices were taken, as a replay does; one that does not keep it says nothing of it.
func TestRehearsalKeepsTime(t *testing.T) {
	r, p := crowdedSong(200, 8)
	r.Gap = 3 * ms
	replay, err := Play(r, p)
	require.NoError(t, err)
	require.Positive(t, replay.Rig.Tally.Late)
	h := NewRehearsal(p, replay.Reference)
	_, err = h.Score(r)
	require.NoError(t, err)
	require.False(t, slices.ContainsFunc(h.Outcomes(), func(o Outcome) bool { return o.Late > 0 }))
	require.Equal(t, replay.Cuts, h.Cuts())
	h.KeepTime()
	_, err = h.Score(r)
	require.NoError(t, err)
	require.Equal(t, replay.Outcomes, h.Outcomes())
	require.Equal(t, replay.Cuts, h.Cuts())
}

// Rules that the engine refuses are refused by whatever plays by them.
func TestRulesThatAreRefused(t *testing.T) {
	r, p := crowdedSong(20, 4)
	ref := NewReference(r, p)
	r.Config.FreeDB = 1
	ctx := context.Background()
	for name, do := range map[string]func() error{
		"lanes":     func() error { _, _, err := PlayLanes(r, p, ref); return err },
		"passes":    func() error { _, err := FewestPasses(r, p, MostPasses); return err },
		"rehearsal": func() error { _, err := NewRehearsal(p, ref).Score(r); return err },
		"size":      func() error { _, err := Size(ctx, r, p, SizingOptions{}); return err },
		"some":      func() error { _, err := Size(ctx, r, p, SizingOptions{Budget: NewBudget(1)}); return err },
		"split":     func() error { _, err := BestSplit(ctx, r, p, 2, 2); return err },
	} {
		require.ErrorContains(t, do(), "free level 1 dB", name)
	}
}

// A unison of three should have three voices, an elastic one those that it began with.
func TestAsked(t *testing.T) {
	three := alloc.Part{Unison: alloc.Unison{Voices: 3}}
	require.Equal(t, 3, (&Outcome{Voices: 2}).Asked(&three))
	three.Unison.WhenShort = alloc.Elastic
	require.Equal(t, 2, (&Outcome{Voices: 2}).Asked(&three))
}

// By hand: 1 + 2 + 3 notes, of which 2 were dropped or cut, and 3 tails cut, −5 dB at worst.
func TestNewScore(t *testing.T) {
	s := NewScore([NumEndings]int{Complete: 1, Dropped: 1, PedalCut: 1, TailCutOtherKey: 3}, time.Second, -5)
	require.Equal(t, []int{6, 2, 2, 3}, []int{s.Notes, s.Damaged(), s.Hurt(), s.TailCuts()})
	require.Equal(t, time.Second, s.Lost)
	require.Equal(t, -5.0, s.Loudest())
}

// By hand: all that is counted is added up, and of the loudest the louder one counts.
func TestScoreAdd(t *testing.T) {
	s, u := scoreOf(3, 1, 2, -9, time.Second), scoreOf(4, 2, 1, -5, 2*time.Second)
	s.Notes, s.Missed, s.Weight, u.Notes, u.Missed, u.Weight = 10, 1, 100, 20, 2, 200
	want := scoreOf(7, 3, 3, -5, 3*time.Second)
	want.Notes, want.Missed, want.Weight = 30, 3, 300
	s.Add(&u)
	require.Equal(t, want, s)
}

// One voice is enough, and a tail is cut on it that is fainter than [Faint]: how loud it is, is told.
func TestHarmlessOnOneVoice(t *testing.T) {
	s := Sizing{Points: []SizePoint{{Voices: 1, Own: scoreOf(0, 0, 1, Faint-3, 0)}}, Last: 1}
	h := s.Harmless()
	require.Equal(t, 1, h.Quiet)
	require.Equal(t, Faint-3, h.Loudest)
}

// Parts are together where they share a bank, one with another, in whatever order they stand.
func TestGroups(t *testing.T) {
	parts := func(banks ...[]int) (cfg alloc.Config) {
		for _, b := range banks {
			cfg.Parts = append(cfg.Parts, alloc.Part{Banks: b})
		}
		return cfg
	}
	of := func(cfg alloc.Config) (all [][]int) {
		for _, g := range groups(cfg) {
			all = append(all, slices.Sorted(slices.Values(g.parts)))
		}
		return all
	}
	require.Equal(t, [][]int{{0}, {1, 2}}, of(parts([]int{0}, []int{1}, []int{1})))
	require.Equal(t, [][]int{{1}, {0, 2}}, of(parts([]int{0}, []int{1}, []int{0})))
	require.Equal(t, [][]int{{0, 1, 2}}, of(parts([]int{0}, []int{1}, []int{1, 0})))
	require.Equal(t, [][]int{{0, 1, 2}}, of(parts([]int{0, 2}, []int{0, 1}, []int{2})), "by way of the second")
}

// Of the tails of a unison the loudest that is cut counts, whoever cuts it: by its own
// key at −10 dB, then another by another key or its own, below, as loud, and above.
func TestLoudestTailOfAUnison(t *testing.T) {
	for _, c := range []struct {
		db   float64
		key  int16
		want Ending
		by   alloc.NoteID
	}{{-20, 62, TailCutOwnKey, 1}, {-10, 62, TailCutOwnKey, 1}, {-9, 62, TailCutOtherKey, 2},
		{-20, 60, TailCutOwnKey, 1}, {-10, 60, TailCutOwnKey, 1}, {-9, 60, TailCutOwnKey, 2}} {
		var l ledger
		l.open(Rules{LimitDB: -40, Config: alloc.Config{Voices: make([]alloc.Voice, 2)}}, &Reference{Notes: []Note{{End: time.Second}, {Start: 2 * time.Second}, {Start: 2 * time.Second}}})
		l.write(&alloc.Decision{Kind: alloc.Take, Cut: alloc.NoNote, Of: 2, Key: 60})
		l.write(&alloc.Decision{Kind: alloc.Take, Note: 1, Cut: 0, At: 2 * time.Second, Was: alloc.Tail, CutDB: -10, Key: 60, CutKey: 60, Of: 1})
		l.write(&alloc.Decision{Kind: alloc.Take, Note: 2, Cut: 0, Voice: 1, At: 2 * time.Second, Was: alloc.Tail, CutDB: c.db, Key: c.key, CutKey: 60, Of: 1})
		require.Equal(t, c.want, l.outcomes[0].Ending, c.db)
		require.Equal(t, max(-10, c.db), l.outcomes[0].LevelDB)
		require.Equal(t, c.by, l.outcomes[0].By)
	}
}

// A note that began 100 ms late stays one that did where it is cut within a legato
// overlap of its end, or its tail is; where more of it is lost, it is cut.
func TestLateStartIsTheWorseEnding(t *testing.T) {
	for _, c := range []struct {
		at   time.Duration
		was  alloc.State
		key  int16
		want Ending
	}{{920 * ms, alloc.Held, 60, LateStart}, {2 * time.Second, alloc.Tail, 60, LateStart}, {2 * time.Second, alloc.Tail, 62, LateStart},
		{500 * ms, alloc.Held, 62, HeldCut}, {500 * ms, alloc.Pedal, 62, PedalCut}} {
		var l ledger
		l.open(Rules{LimitDB: -40, Overlap: 80 * ms, Config: alloc.Config{Voices: make([]alloc.Voice, 1)}},
			&Reference{Notes: []Note{{End: time.Second}, {Start: c.at}}})
		l.write(&alloc.Decision{Kind: alloc.Take, At: 100 * ms, Cut: alloc.NoNote, Of: 1, Key: 60})
		l.write(&alloc.Decision{Kind: alloc.Take, Note: 1, Cut: 0, At: c.at, Was: c.was, CutDB: -10, Key: c.key, CutKey: 60, Of: 1})
		require.Equal(t, c.want, l.outcomes[0].Ending, c)
	}
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

// A tail at the limit cannot be heard any more; one above it can. A gate that is taken as it
// ends has lost nothing, one that is taken as it begins is born-cut, by the minimum gate or without one.
func TestLimitsOfEndings(t *testing.T) {
	for _, c := range []struct {
		at   time.Duration
		was  alloc.State
		db   float64
		want Ending
	}{{2 * time.Second, alloc.Tail, -40, TailCutInaudible}, {2 * time.Second, alloc.Tail, -39, TailCutOtherKey},
		{time.Second, alloc.Held, 0, Complete}, {time.Second - 1, alloc.Held, 0, OverlapOnly}, {0, alloc.Held, 0, BornCut}, {1, alloc.Held, 0, HeldCut}} {
		l := ledger{rules: Rules{LimitDB: -40, Overlap: 80 * ms}, ref: &Reference{Notes: []Note{{End: time.Second}}}, outcomes: make([]Outcome, 1)}
		require.Equal(t, c.want, l.endingOf(&alloc.Decision{At: c.at, Was: c.was, CutDB: c.db, Key: 62, CutKey: 60}), c)
	}
}

// Of bends that miss their pitch by as much the first counts, and of others the worst.
func TestWorstMiss(t *testing.T) {
	var l ledger
	l.open(Rules{}, &Reference{Notes: make([]Note, 1)})
	for _, c := range []struct{ missed, want float64 }{{5, 5}, {-5, 5}, {-6, -6}, {1, -6}} {
		l.write(&alloc.Decision{Kind: alloc.Bend, Missed: c.missed})
		require.Equal(t, c.want, l.outcomes[0].Missed)
	}
}

// Of three voices a note loses one and then another, and keeps them in mind.
func TestFewestVoices(t *testing.T) {
	var l ledger
	l.open(Rules{}, &Reference{Notes: make([]Note, 3)})
	l.write(&alloc.Decision{Kind: alloc.Take, Cut: alloc.NoNote, Of: 3})
	for i, left := range []int16{2, 1} {
		l.write(&alloc.Decision{Kind: alloc.Take, Note: alloc.NoteID(i + 1), Cut: 0, CutLeft: left, Of: 1, Was: alloc.Held})
		require.Equal(t, int(left), l.outcomes[0].Fewest)
		require.Len(t, l.cuts, i+1)
	}
	require.Equal(t, Complete, l.outcomes[0].Ending)
}
