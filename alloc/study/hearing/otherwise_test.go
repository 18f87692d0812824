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
	"choirloft/midi"
)

// copied is a bench with the same notes.
func (b *bench) copied() *bench {
	other := *b
	other.ref.Notes = slices.Clone(b.ref.Notes)
	other.ref.Envelopes = slices.Clone(b.ref.Envelopes)
	other.played.Outcomes = slices.Clone(b.played.Outcomes)
	other.played.Cuts = slices.Clone(b.played.Cuts)
	return &other
}

// beside hears what another bench plays beside what this one asks for.
func (b *bench) beside(t require.TestingT, others ...*bench) *hearing.Heard {
	m := hearing.Model{LevelDB: 70, Ear: hearing.KeenEar, Sounds: []hearing.Sound{{Cutoff: 2000}}}
	a, err := hearing.NewAsked(m, b.parts, &b.ref)
	require.NoError(t, err)
	var runs []hearing.Run
	for _, o := range others {
		runs = append(runs, hearing.Run{Rules: study.Rules{Config: alloc.Config{Parts: o.parts}}, Reference: &o.ref,
			Outcomes: o.played.Outcomes, Cuts: o.played.Cuts})
	}
	p, err := a.Match(runs...)
	require.NoError(t, err)
	return hearing.Hear(a, p)
}

// one is a scene of one part, in which no key is struck twice at a time.
func one(t *rapid.T) *bench {
	b := scene(t)
	b.parts, b.ref.Envelopes = b.parts[:1], b.ref.Envelopes[:1]
	for i := range b.ref.Notes {
		n := &b.ref.Notes[i]
		n.Part = 0
		if slices.ContainsFunc(b.ref.Notes[:i], func(x study.Note) bool { return x.Key == n.Key && x.Start == n.Start }) {
			n.Key = midi.Key(i)
		}
	}
	return b
}

// What was to be played as asked is heard as before, to the last bit, whoever asks.
func TestMatchOfTheSame(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := one(t)
		n := rapid.IntRange(0, len(b.ref.Notes)-1).Draw(t, "note")
		b.cut(n, b.ref.Notes[n].Start+time.Duration(rapid.IntRange(0, 900).Draw(t, "cut"))*ms)
		want, got := b.hear(t), b.beside(t, b.copied())
		require.Equal(t, want, got)
	})
}

// A note that is left out is heard as one that is dropped; a gate that an edit ends
// earlier, without a tail, as one that is cut; a unison of one instead of two as one that
// began with one.
func TestOtherwiseIsHeardAsALoss(t *testing.T) {
	same := func(t *rapid.T, want, got *hearing.Heard) {
		require.InDelta(t, want.Whole.Worst, got.Whole.Worst, 0.11)
		require.InDelta(t, want.Whole.Loud, got.Whole.Loud, 0.03)
		require.InDelta(t, want.Whole.Faint.Seconds(), got.Whole.Faint.Seconds(), 0.03)
		require.Equal(t, want.Whole.Losses, got.Whole.Losses)
	}
	rapid.Check(t, func(t *rapid.T) {
		b := one(t)
		b.ref.Envelopes[0].Release = 0
		n := rapid.IntRange(0, len(b.ref.Notes)-1).Draw(t, "note")
		lost, other := b.copied(), b.copied()
		switch x := &other.ref.Notes[n]; rapid.SampledFrom([]string{"out", "shorter", "thin"}).Draw(t, "what") {
		case "out":
			lost.drop(n)
			other.ref.Notes = slices.Delete(other.ref.Notes, n, n+1)
			other.played.Outcomes = slices.Delete(other.played.Outcomes, n, n+1)
		case "shorter":
			x.End = x.Start + (x.End-x.Start)/2
			if x.End == x.Start {
				return
			}
			lost.cut(n, x.End)
		case "thin":
			b.parts = []alloc.Part{{Unison: alloc.Unison{Voices: 2}}}
			lost.parts = b.parts // all begin with one voice
			other.parts = []alloc.Part{{Unison: alloc.Unison{Voices: 1}}}
		}
		same(t, lost.hear(t), b.beside(t, other))
	})
}

// Tails that are shorter by a release: a note alone falls by 60 dB in 2 s, and as it is
// played in 1 s. 10 dB apart is what 30 dB a second make in a third of one; the level of
// key 60 is 70 dB, so that it is heard for longer than that, and plain.
func TestAnotherRelease(t *testing.T) {
	b := newBench(2 * second)
	b.note(60, second, 2*second)
	for release, want := range map[time.Duration][2]float64{2 * second: {0, 0}, second: {9, 10}, 0: {10, 10}, 1900 * ms: {1, 2.5}} {
		other := b.copied()
		other.ref.Envelopes[0].Release = release
		h := b.beside(t, other)
		require.GreaterOrEqual(t, h.Whole.Worst, want[0], "%v", release)
		require.LessOrEqual(t, h.Whole.Worst, want[1], "%v", release)
		for _, x := range h.Losses {
			require.Equal(t, []any{hearing.Altered, false}, []any{x.What, x.Starts})
		}
	}
	longer := b.copied() // sounds too long: as different as the other way round
	longer.ref.Envelopes[0].Release = 3 * second
	require.Greater(t, b.beside(t, longer).Whole.Worst, 3.0)
}

// Shorter tails are heard the more the shorter they are.
func TestShorterIsHeardMore(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := one(t)
		b.ref.Envelopes[0].Release = 1500 * ms
		last := 0.0
		for _, release := range []time.Duration{1500, 1200, 900, 500, 100} {
			other := b.copied()
			other.ref.Envelopes[0].Release = release * ms
			loud := b.beside(t, other).Whole.Loud
			require.GreaterOrEqual(t, loud, last-0.02, "%v", release)
			last = loud
		}
	})
}

// Several recordings of some notes each are the song: what none lost is whole, and what
// one lost is lost. What is no note of the song is refused.
func TestRecordingsTogether(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := one(t)
		n := rapid.IntRange(0, len(b.ref.Notes)-1).Draw(t, "note")
		b.cut(n, b.ref.Notes[n].Start+time.Duration(rapid.IntRange(0, 900).Draw(t, "cut"))*ms)
		takes := [2]*bench{newBench(0), newBench(0)}
		for i := range takes {
			takes[i].parts, takes[i].ref.Envelopes = b.parts, b.ref.Envelopes
		}
		for i, x := range b.ref.Notes {
			to := takes[rapid.IntRange(0, 1).Draw(t, "take")]
			to.ref.Notes = append(to.ref.Notes, x)
			to.played.Outcomes = append(to.played.Outcomes, b.played.Outcomes[i])
			if i == n {
				to.played.Cuts = []study.Cut{{Note: alloc.NoteID(len(to.ref.Notes) - 1), At: b.played.Cuts[0].At}}
			}
		}
		got := b.beside(t, takes[:]...)
		require.Equal(t, b.hear(t).Whole, got.Whole)
		takes[0].note(127, 0, second)
		a, err := hearing.NewAsked(hearing.Model{Sounds: make([]hearing.Sound, 1)}, b.parts, &b.ref)
		require.NoError(t, err)
		_, err = a.Match(hearing.Run{Rules: study.Rules{Config: alloc.Config{Parts: b.parts}}, Reference: &takes[0].ref, Outcomes: takes[0].played.Outcomes})
		require.ErrorContains(t, err, "is none of what is asked")
	})
}
