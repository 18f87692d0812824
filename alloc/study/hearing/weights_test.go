package hearing_test

import (
	"cmp"
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

// A note alone is missed by 10 dB for as long as it lasts; in a chord it is missed
// less, and one without length weighs nothing.
func TestWeights(t *testing.T) {
	b := newBench(1500 * ms)
	b.note(60, second, 2*second)
	b.chord(4*second, 5*second, 48, 55, 60, 64)
	b.note(72, 6*second, 6*second)
	m := hearing.Model{LevelDB: 70, Ear: hearing.KeenEar, Sounds: []hearing.Sound{{Cutoff: 2000}}}
	a, err := hearing.NewAsked(m, b.parts, &b.ref)
	require.NoError(t, err)
	w := hearing.Weights(a)
	// Trapezium: 0.8 s at 10 dB, flanks of 0.2 s. Above 1 dB: 9·0.8 + 2·(9²/2 ÷ 50) =
	// 7.2 + 1.62 = 8.82 dB·s; all of it 10 dB·s, of which a hundredth is 0.1: 8920.
	require.InDelta(t, 8920, float64(w[0]), 1)
	require.Less(t, w[3], w[0])
	require.Positive(t, w[3])
	require.Zero(t, w[5])
}

// Where too many notes sound for too long, each weighs what it would alone: 9 dB·s for
// a second. 50 a second, 40 000 seconds of gates are 2 million steps, and with those of one
// second more than 2 million; 39 900 are not.
func TestWeightsOfTooMuch(t *testing.T) {
	b := newBench(0)
	b.ref.End = 50_000 * second
	b.note(60, 0, 39_900*second)
	require.True(t, hearing.Weighs(&b.ref))
	b = newBench(0)
	b.ref.End = 50_000 * second
	b.note(60, 0, 40_000*second)
	b.note(60, second, 2*second)
	b.note(60, second, second)
	a, err := hearing.NewAsked(hearing.Model{LevelDB: 70, Ear: hearing.KeenEar, Sounds: []hearing.Sound{{Cutoff: 2000}}}, b.parts, &b.ref)
	require.NoError(t, err)
	require.False(t, hearing.Weighs(&b.ref))
	require.Equal(t, []study.Weight{360_000_000, 9000, 0}, hearing.Weights(a))
}

// With these weights least-audible loses what no rule can help losing, and that is
// the least of all ways to give notes up. Losses are taken singly.
func TestLeastAudibleByEar(t *testing.T) {
	lost := 0
	rapid.Check(t, func(t *rapid.T) {
		voices := rapid.IntRange(1, 3).Draw(t, "voices")
		s := crowd(0, voices)
		for i := range s.Rules.Config.Voices {
			s.Rules.Config.Voices[i].Envelope.Release = 0
		}
		s.Rules.Config.Parts[0].Steal = alloc.StealLeastAudible
		s.Rules.Gap = 0
		for k := range rapid.IntRange(1, 9).Draw(t, "notes") {
			at := time.Duration(rapid.IntRange(0, 60).Draw(t, "start")) * 20 * ms
			to := at + time.Duration(rapid.IntRange(1, 40).Draw(t, "length"))*20*ms
			key := midi.Key(40 + 5*k)
			s.Performance.Steps = append(s.Performance.Steps, midi.Step{At: at, Kind: midi.StepNoteOn, Key: key, Value: 100},
				midi.Step{At: to, Kind: midi.StepNoteOff, Key: key})
			s.Performance.End = max(s.Performance.End, to)
		}
		slices.SortStableFunc(s.Performance.Steps, func(a, b midi.Step) int {
			return cmp.Or(cmp.Compare(a.At, b.At), cmp.Compare(b.Kind, a.Kind))
		})
		s.Rules.Weigh = func(parts []alloc.Part, ref *study.Reference) []study.Weight {
			a, err := hearing.NewAsked(s.Model, parts, ref)
			require.NoError(t, err)
			return hearing.Weights(a)
		}
		ref := study.NewReference(s.Rules, s.Performance)
		weights := ref.Weights()
		replay, err := study.PlayReference(s.Rules, s.Performance, ref)
		require.NoError(t, err)
		least := study.Weight(1 << 60)
		for gone := range uint(1) << len(ref.Notes) {
			var kept []study.Interval
			sum := study.Weight(0)
			for i, n := range ref.Notes {
				if gone>>i&1 == 0 {
					kept = append(kept, study.Interval{Start: n.Start, End: n.End})
				} else {
					sum += weights[i]
				}
			}
			if sum < least && study.Peak(kept) <= voices {
				least = sum
			}
		}
		require.Equal(t, least, replay.AudibleLoss(weights))
		require.Equal(t, least, study.AudibleBound(s.Rules, ref))
		if least > 0 {
			lost++
		}
	})
	require.Greater(t, lost, 5)
}
