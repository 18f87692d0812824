package hearing_test

import (
	"cmp"
	"math"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"choirloft/alloc"
	"choirloft/alloc/study"
	"choirloft/alloc/study/hearing"
	"choirloft/midi"
)

// bench is a laboratory: notes made by hand on one part of saw waves, and what
// became of them.
type bench struct {
	played hearing.Played
	ref    study.Reference
	parts  []alloc.Part

	velocity []bool
}

// newBench returns one whose voices have this release.
func newBench(release time.Duration) *bench {
	b := &bench{parts: make([]alloc.Part, 1)}
	b.ref.End = 10 * time.Second
	b.ref.Envelopes = []alloc.Envelope{{Sustain: 1, Release: release}}
	return b
}

// note plays a key and returns its number.
func (b *bench) note(key int, start, end time.Duration) int {
	b.ref.Notes = append(b.ref.Notes, study.Note{Key: midi.Key(key), Sounding: key, Velocity: 127, Start: start, Full: start, End: end})
	b.played.Outcomes = append(b.played.Outcomes, study.Outcome{Voice: 0, Voices: 1, Fewest: 1})
	return len(b.ref.Notes) - 1
}

// chord plays keys together.
func (b *bench) chord(start, end time.Duration, keys ...int) (notes []int) {
	for _, k := range keys {
		notes = append(notes, b.note(k, start, end))
	}
	return notes
}

// cut takes a note's voice.
func (b *bench) cut(note int, at time.Duration) {
	b.played.Cuts = append(b.played.Cuts, study.Cut{Note: alloc.NoteID(note), At: at})
	b.played.Outcomes[note].Ending, b.played.Outcomes[note].At = study.HeldCut, at
}

func (b *bench) drop(note int) {
	b.played.Outcomes[note] = study.Outcome{Voice: alloc.NoVoice, Ending: study.Dropped}
}

// hear judges it all.
func (b *bench) hear(t require.TestingT) *hearing.Heard {
	m := hearing.Model{LevelDB: 70, Ear: hearing.KeenEar, Velocity: b.velocity}
	for range b.parts {
		m.Sounds = append(m.Sounds, hearing.Sound{Cutoff: 2000})
	}
	slices.SortStableFunc(b.played.Cuts, func(x, y study.Cut) int { return cmp.Compare(x.At, y.At) })
	a, err := hearing.NewAsked(m, b.parts, &b.ref)
	require.NoError(t, err)
	return hearing.Hear(a, b.played)
}

func worst(t *testing.T, b *bench) float64 { return b.hear(t).Whole.Worst }

const second = time.Second

// What is gone by itself differs by the limit, 10 dB, for as long as it is gone,
// so that 200 ms around have 10 · gone ÷ 200 on average.
func TestLateAlone(t *testing.T) {
	for _, c := range []struct {
		late time.Duration
		want float64
	}{
		{0, 0}, {5 * ms, 0.3}, {30 * ms, 1.5}, {100 * ms, 5}, {200 * ms, 10}, {300 * ms, 10},
	} {
		b := newBench(0)
		n := b.note(60, second, 3*second)
		b.played.Outcomes[n].Late = c.late
		require.InDelta(t, c.want, worst(t, b), 1e-9, "%v late", c.late)
	}
}

// The laboratory: small scenes with the figures of two other models of the same
// text, which share no code with this one. They gave the kind of scene; the keys are
// those of a spread triad here, of six and of ten voices.
func TestLaboratory(t *testing.T) {
	four := []int{48, 55, 60, 64}
	six := []int{48, 55, 60, 64, 67, 72}
	ten := []int{36, 43, 48, 52, 55, 60, 64, 67, 72, 76}
	early := func(by time.Duration) func(*bench) {
		return func(b *bench) { b.cut(b.chord(0, 4*second, four...)[2], 4*second-by) }
	}
	change := func(to ...int) func(*bench) {
		return func(b *bench) {
			for _, n := range b.chord(0, 2*second, four...) {
				b.cut(n, 2*second)
			}
			b.chord(2*second, 4*second, to...)
		}
	}
	for _, c := range []struct {
		what    string
		want    float64
		release time.Duration
		scene   func(b *bench)
	}{
		{"30 ms late over a chord", 0.9, 0, func(b *bench) {
			b.chord(0, 4*second, four...)
			b.played.Outcomes[b.note(72, second, 3*second)].Late = 30 * ms
		}},
		{"a chord's note ends 10 ms early", 0.3, 0, early(10 * ms)},
		{"50 ms early", 1.5, 0, early(50 * ms)},
		{"200 ms early", 6, 0, early(200 * ms)},
		{"four tails cut at a chord change", 10, 1500 * ms, change(53, 60, 65, 69)},
		{"the same chord struck again", 0, 1500 * ms, change(four...)},
		{"the same chord struck again, its tail kept: by another part", 1.6, 1500 * ms, func(b *bench) {
			change(four...)(b)
			b.parts = append(b.parts, alloc.Part{})
			b.ref.Envelopes = append(b.ref.Envelopes, b.ref.Envelopes[0])
			for i := 4; i < 8; i++ {
				b.ref.Notes[i].Part = 1
			}
		}},
		{"inner note of six", 6.1, 0, func(b *bench) { b.drop(b.chord(0, 4*second, six...)[3]) }},
		{"inner note of ten", 4.1, 0, func(b *bench) { b.drop(b.chord(0, 4*second, ten...)[4]) }},
		{"upper note of an octave", 7, 0, func(b *bench) { b.drop(b.chord(0, 4*second, 60, 72)[1]) }},
		{"a note 10 dB under a chord", 0.9, 0, func(b *bench) {
			b.velocity = []bool{true}
			b.chord(0, 4*second, four...)
			n := b.note(67, 0, 4*second)
			b.ref.Notes[n].Velocity = 71 // 40·log10(71 ÷ 127) = −10.1 dB
			b.drop(n)
		}},
		{"a unison of four loses one: 10·log10(4/3) = 1.25", 1.2, 0, func(b *bench) {
			b.parts[0].Unison.Voices = 4
			n := b.note(60, 0, 2*second)
			b.played.Outcomes[n].Voices = 4
			b.played.Cuts = append(b.played.Cuts, study.Cut{Note: 0, At: second, Left: 3})
		}},
		{"a unison of four has three", 1.2, 0, func(b *bench) {
			b.parts[0].Unison.Voices = 4
			b.played.Outcomes[b.note(60, 0, 2*second)].Voices = 3
		}},
	} {
		b := newBench(c.release)
		c.scene(b)
		got := worst(t, b)
		t.Logf("%s: %.1f dB, elsewhere %.1f", c.what, got, c.want)
		require.InDelta(t, c.want, got, 0.11, c.what)
	}
}

// A wrong semitone in ten notes: 5.1 dB by the other models. It is in no other sum.
func TestWrongPitch(t *testing.T) {
	for _, c := range []struct {
		cents float64
		heard int
	}{{100, 1}, {-1200, 1}, {50, 1}, {49, 0}, {0, 0}} {
		b := newBench(1500 * ms)
		n := b.chord(0, 4*second, 36, 43, 48, 52, 55, 60, 64, 67, 72, 76)[7]
		b.played.Outcomes[n].Missed = c.cents
		h := b.hear(t)
		require.Equal(t, c.heard, h.WrongFaint, "%v cents", c.cents)
		require.Zero(t, h.Whole)
		if c.cents == 100 {
			require.InDelta(t, 5.1, h.Losses[0].Worst, 0.11)
			require.True(t, h.Losses[0].Starts)
		}
	}
}

// A note whose gate others hold is heard by what it adds. Alone it is heard plainly; beside one of its own key it is twice
// the power, 10·log10 2 = 3.01 dB; beside five of its own key 10·log10 6/5 = 0.79 dB is not heard.
func TestHeldOn(t *testing.T) {
	held := func(others ...int) *hearing.Heard {
		b := newBench(0)
		i := b.note(60, 0, time.Second)
		for _, k := range others {
			b.note(k, 0, 5*time.Second)
		}
		b.played.Outcomes[i].TooLong = 2 * time.Second
		h := b.hear(t)
		require.Len(t, h.Losses, 1)
		require.Equal(t, hearing.HeldOn, h.Losses[0].What)
		require.False(t, h.Losses[0].Starts)
		return h
	}
	alone := held()
	require.True(t, alone.Losses[0].Plain)
	require.InDelta(t, 10, alone.Losses[0].Worst, 0.1) // the most there is
	require.Equal(t, 1, alone.Whole.Losses)
	twice := held(60)
	require.InDelta(t, 10*math.Log10(2), twice.Losses[0].Worst, 0.1)
	require.InDelta(t, 10*math.Log10(2), twice.Whole.Worst, 0.1)
	require.Less(t, held(60, 60, 60, 60, 60).Losses[0].Worst, 0.95)
}
