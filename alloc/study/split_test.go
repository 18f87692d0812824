package study

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/alloc"
	"choirloft/midi"
)

// twoLines is a chord of four on channel 1 with a stab of three on channel 2
// beside it, tails 0, so that four voices and three are wanted.
func twoLines(t *testing.T) (Rules, Performance) {
	song := "0 on 48, 0 on 52, 0 on 55, 0 on 60, 900 off 48, 900 off 52, 900 off 55, 900 off 60"
	steps := stepsOf(t, song)
	stab := stepsOf(t, "100 on 72, 100 on 76, 100 on 79, 200 off 72, 200 off 76, 200 off 79")
	for i := range stab {
		stab[i].Channel = 1
	}
	steps = append(steps[:4:4], append(stab, steps[4:]...)...)
	part := func(name string, channel midi.Channel) alloc.Part {
		p := *anyPart()
		p.Name, p.Sources, p.Priority = name, []alloc.Source{{AnyPort: true, Channels: 1 << channel}}, 1
		p.Banks, p.Steal = []int{0}, alloc.StealOldest
		return p
	}
	return Rules{Config: alloc.Config{MinGate: 5 * ms, FreeDB: -60, Voices: []alloc.Voice{{}},
		Parts: []alloc.Part{part("chord", 0), part("stab", 1)}}, Overlap: 80 * ms, LimitDB: -40}, Performance{steps, 1000 * ms}
}

// By hand: with 2 banks of 4 all 7 notes fit, together or apart. With 1 bank
// they must share, and 3 of the chord are cut. With banks of 3, two of them,
// together 6 voices damage 1 note; apart the chord has 3 and damages 1 too: the
// one group wins the tie.
func TestBestSplit(t *testing.T) {
	r, p := twoLines(t)
	best, err := BestSplit(context.Background(), r, p, 4, 2)
	require.NoError(t, err)
	require.Equal(t, []SplitGroup{{[]int{0, 1}, 1}}, best[0].Groups)
	require.Equal(t, 3, best[0].Score.Damaged())
	require.Equal(t, []SplitGroup{{[]int{0, 1}, 2}}, best[1].Groups)
	require.Zero(t, best[1].Score.Damaged())
	best, err = BestSplit(context.Background(), r, p, 3, 2)
	require.NoError(t, err)
	require.Equal(t, []SplitGroup{{[]int{0, 1}, 2}}, best[1].Groups)
	require.Equal(t, 1, best[1].Score.Damaged())
	require.Equal(t, 7, best[1].Score.Notes)
}

// By hand: on two banks of one voice the second stab takes the voice of the chord, which
// is the oldest note and loses 700 ms. Apart it takes that of the first stab, which loses
// 100 ms: one note is damaged either way, and less of it.
func TestBestSplitApart(t *testing.T) {
	r, p := twoLines(t)
	p.Steps = stepsOf(t, "0 on 48, 100 on 72, 200 on 76, 300 off 72, 400 off 76, 900 off 48")
	for i := range p.Steps {
		if p.Steps[i].Key != 48 {
			p.Steps[i].Channel = 1
		}
	}
	best, err := BestSplit(context.Background(), r, p, 1, 2)
	require.NoError(t, err)
	require.Equal(t, []SplitGroup{{[]int{0}, 1}, {[]int{1}, 1}}, best[1].Groups)
	require.Equal(t, 1, best[1].Score.Damaged())
	require.Equal(t, 100*ms, best[1].Score.Lost)
}

// A song without notes has no parts to give banks to, and loses nothing on any.
func TestBestSplitOfNothing(t *testing.T) {
	r, p := twoLines(t)
	p.Steps = nil
	best, err := BestSplit(context.Background(), r, p, 4, 2)
	require.NoError(t, err)
	require.Equal(t, make([]Split, 2), best)
}

// By hand: with the newest note stolen the stab, which comes last, loses its
// first two notes if it shares five voices. Apart on banks of 1, four for the
// chord leave one for the stab, which loses two as well, and two of four more
// lose more: 5 voices damage 2 whatever the split. With 7 banks each has its own.
func TestBestSplitCountsEveryDeal(t *testing.T) {
	r, p := twoLines(t)
	best, err := BestSplit(context.Background(), r, p, 1, 7)
	require.NoError(t, err)
	require.Equal(t, 2, best[4].Score.Damaged())
	require.Zero(t, best[6].Score.Damaged())
	for i := 1; i < len(best); i++ {
		require.LessOrEqual(t, best[i].Score.Damaged(), best[i-1].Score.Damaged(), "in this song")
	}
}

// Two parts with notes are 2² = 4 groups at most, on one and on two banks of four
// voices: 4·(n+4) + 4·(n+8) for n steps. Six are 2⁶, seven 7 + 1 groups, each and all.
func TestSplitWork(t *testing.T) {
	r, p := twoLines(t)
	n := Work(len(p.Steps))
	require.Equal(t, 4*(n+4)+4*(n+8), SplitWork(r, NewReference(r, p), p, 4, 2))
	for len(r.Config.Parts) < 6 {
		r.Config.Parts = append(r.Config.Parts, r.Config.Parts[1])
	}
	require.Equal(t, 64*(n+4), SplitWork(r, NewReference(r, p), p, 4, 1))
	for len(r.Config.Parts) < 7 {
		r.Config.Parts = append(r.Config.Parts, r.Config.Parts[1])
	}
	require.Equal(t, 8*(n+4), SplitWork(r, NewReference(r, p), p, 4, 1))
}

func TestGroupings(t *testing.T) {
	for n, want := range map[int]int{1: 1, 2: 2, 3: 5, 4: 15, 5: 52, 6: 203, 7: 2} { // Bell numbers, then two
		s := &splitter{parts: make([]int, n)}
		all := s.groupings()
		require.Len(t, all, want, "%d parts", n)
		require.Equal(t, []uint64{1<<n - 1}, all[0])
		require.Equal(t, []uint64{1, 2, 4, 8, 16, 32, 64}[:n], all[len(all)-1])
	}
}

// Five banks are dealt out to three groups, one each at least, in 4·3/2 ways.
func TestDeal(t *testing.T) {
	dealt := map[[3]int]bool{}
	(&splitter{}).deal(make([]uint64, 3), 5, func(banks []int) {
		dealt[[3]int(banks)] = true
		require.Equal(t, 5, banks[0]+banks[1]+banks[2])
	})
	require.Len(t, dealt, 6)
}
