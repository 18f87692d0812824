package hearing_test

import (
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"choirloft/alloc"
	"choirloft/alloc/study"
	"choirloft/alloc/study/hearing"
	"choirloft/midi/corpora"
)

// scene draws notes of two parts, all of them whole.
func scene(t *rapid.T) *bench {
	b := newBench(time.Duration(rapid.SampledFrom([]int{0, 400, 1500}).Draw(t, "release")) * ms)
	b.parts = make([]alloc.Part, 2)
	b.ref.Envelopes = append(b.ref.Envelopes, b.ref.Envelopes[0])
	starts := rapid.SliceOfN(rapid.IntRange(0, 40), 1, 14).Draw(t, "starts")
	slices.Sort(starts)
	for _, s := range starts {
		at := time.Duration(s) * 50 * ms
		n := b.note(rapid.IntRange(30, 96).Draw(t, "key"), at, at+time.Duration(rapid.IntRange(1, 900).Draw(t, "length"))*ms)
		b.ref.Notes[n].Part = rapid.IntRange(0, 1).Draw(t, "part")
	}
	return b
}

// What is played as asked is heard as asked.
func TestNothingLost(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := scene(t).hear(t)
		require.Zero(t, h.Whole)
		require.Empty(t, h.Losses)
		require.Empty(t, h.Moments)
		require.Zero(t, h.WrongFaint)
	})
}

// A voice that is taken earlier is missed at least as much. A step is judged by its
// middle, and a loss splits it: that leaves a tenth of a dB.
func TestLongerLoss(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := scene(t)
		n := rapid.IntRange(0, len(b.ref.Notes)-1).Draw(t, "note")
		x := b.ref.Notes[n]
		cuts := []int{rapid.IntRange(0, 2000).Draw(t, "cut"), rapid.IntRange(0, 2000).Draw(t, "cut")}
		slices.Sort(cuts)
		var heard [2]*hearing.Heard
		for i, c := range cuts {
			b.played.Cuts = nil
			b.cut(n, x.Start+time.Duration(c)*ms)
			heard[i] = b.hear(t)
		}
		long, short := heard[0].Whole, heard[1].Whole
		require.GreaterOrEqual(t, long.Worst, short.Worst-0.11)
		require.GreaterOrEqual(t, long.Loud, short.Loud-0.02)
		require.GreaterOrEqual(t, long.Faint, short.Faint-10*ms)
	})
}

// Who wants no parts and no wrong pitches hears the same of the whole, and of each other loss.
func TestCount(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := scene(t)
		for n := range b.ref.Notes {
			switch rapid.IntRange(0, 3).Draw(t, "what") {
			case 0:
				b.cut(n, b.ref.Notes[n].Start+time.Duration(rapid.IntRange(0, 1000).Draw(t, "cut"))*ms)
			case 1:
				b.played.Outcomes[n].Missed = 100
			}
		}
		want := b.hear(t)
		a, err := hearing.NewAsked(hearing.Model{LevelDB: 70, Ear: hearing.KeenEar, Sounds: []hearing.Sound{{Cutoff: 2000}, {Cutoff: 2000}}}, b.parts, &b.ref)
		require.NoError(t, err)
		got := hearing.Count(a, b.played)
		require.Equal(t, want.Whole, got.Whole)
		others := slices.DeleteFunc(want.Losses, func(x hearing.Loss) bool { return x.What == hearing.WrongPitch })
		require.Equal(t, others, got.Losses)
	})
}

// It does not matter which part is the first.
func TestOrderOfParts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := scene(t)
		for n := range b.ref.Notes {
			if rapid.Bool().Draw(t, "lost") {
				b.cut(n, b.ref.Notes[n].Start+time.Duration(rapid.IntRange(0, 1000).Draw(t, "cut"))*ms)
			}
		}
		one := b.hear(t)
		last := len(b.ref.Notes) - 1
		order := make([]int, last+1) // notes that begin together the other way round
		for i := range order {
			order[i] = i
		}
		slices.SortStableFunc(order, func(i, j int) int {
			if x, y := b.ref.Notes[i].Start, b.ref.Notes[j].Start; x != y {
				return int(x - y)
			}
			return j - i
		})
		other := newBench(0)
		other.parts, other.ref.Envelopes = b.parts, b.ref.Envelopes
		for at, i := range order {
			n := b.ref.Notes[i]
			n.Part = 1 - n.Part
			other.ref.Notes = append(other.ref.Notes, n)
			other.played.Outcomes = append(other.played.Outcomes, b.played.Outcomes[i])
			for _, c := range b.played.Cuts {
				if int(c.Note) == i {
					other.played.Cuts = append(other.played.Cuts, study.Cut{Note: alloc.NoteID(at), At: c.At})
				}
			}
		}
		two := other.hear(t)
		ties := 0 // losses that are just heard
		for _, l := range slices.Concat(one.Losses, two.Losses) {
			if l.Worst == hearing.KeenEar.Faint {
				ties++
			}
		}
		for i, pair := range [][2]hearing.Verdict{{one.Whole, two.Whole}, {one.Parts[0], two.Parts[1]}, {one.Parts[1], two.Parts[0]}} {
			require.InDelta(t, pair[0].Worst, pair[1].Worst, 1e-9, "%d", i)
			require.InDelta(t, pair[0].Loud, pair[1].Loud, 1e-6)
			require.InDelta(t, pair[0].Faint.Seconds(), pair[1].Faint.Seconds(), 1e-6)
			require.InDelta(t, pair[0].Losses, pair[1].Losses, float64(ties), "only those on the threshold, where the order of a sum decides")
		}
	})
}

func init() { corpora.Checks("40", "100") }
