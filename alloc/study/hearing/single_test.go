package hearing_test

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"choirloft/alloc"
	"choirloft/alloc/study"
	"choirloft/alloc/study/hearing"
)

// That a loss waits while it is masked changes nothing that is told of it: the same are
// heard, as loud and for as long, where every stretch of each is worked out.
func TestMasked(t *testing.T) {
	heard, masked := 0, 0
	hold := func(t require.TestingT, s hearing.Song) {
		replay, err := study.Play(s.Rules, s.Performance)
		require.NoError(t, err)
		a, err := hearing.NewAsked(s.Model, s.Rules.Config.Parts, replay.Reference)
		require.NoError(t, err)
		got, want := hearing.Count(a, hearing.Of(s.Rules, replay)).Losses, hearing.Unmasked(a, hearing.Of(s.Rules, replay))
		require.Len(t, got, len(want))
		for i, w := range want {
			g := got[i]
			if masked++; w.Heard {
				masked, heard = masked-1, heard+1
			}
			require.InDelta(t, int64(w.Measure.Faint), int64(g.Measure.Faint), 10, "%+v", w) // ns: where lines cross is rounded
			require.InDelta(t, int64(w.Measure.Plain), int64(g.Measure.Plain), 10, "%+v", w)
			require.InDelta(t, w.Loud, g.Loud, 1e-6*(1+w.Loud), "%+v", w)
			require.InDelta(t, w.Rank, g.Rank, 1e-6*(1+w.Rank), "%+v", w)
			g.Measure, g.Rank = w.Measure, w.Rank
			require.Equal(t, w, g)
		}
	}
	hold(t, demo(t))
	for _, e := range []alloc.Envelope{ // as in TestSieve, and the one that crowd has
		{Attack: 100 * ms, Decay: 300 * ms, Sustain: 0.5, Release: 800 * ms}, {Attack: 15 * ms, Sustain: 0.5, Release: 3000 * ms},
		{Sustain: 1}, {Attack: 20 * ms, Sustain: 1, Release: 20 * ms}, {Attack: 5 * ms, Decay: 300 * ms, Sustain: 1, Release: 1500 * ms},
	} {
		for _, voices := range []int{3, 9, 14} {
			s := crowd(200, voices)
			for i := range s.Rules.Config.Voices {
				s.Rules.Config.Voices[i].Envelope = e
			}
			hold(t, s)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		r, p := random(t)
		hold(t, hearing.Song{Rules: r, Performance: p, Model: hearing.Model{LevelDB: 70, Ear: hearing.KeenEar,
			Sounds: []hearing.Sound{{Cutoff: 2000}, {Cutoff: 800}}}})
	})
	require.Greater(t, heard, 500)
	require.Greater(t, masked, 500)
	t.Log(heard, masked)
}
