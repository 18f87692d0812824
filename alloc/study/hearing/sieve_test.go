package hearing_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"choirloft/alloc"
	"choirloft/alloc/study/hearing"
)

// What is left out of numbers of voices changes nothing that is told of them: where every
// stretch is worked out as much is heard, for as long, and the most is the same.
func TestSieve(t *testing.T) {
	hold := func(t require.TestingT, s hearing.Song, most int) {
		c, err := hearing.NewCurve(s)
		require.NoError(t, err)
		for n := 1; n <= most; n++ {
			got, err := c.Again(n)
			require.NoError(t, err)
			want, err := c.Thorough(n)
			require.NoError(t, err)
			require.Equal(t, want.Worst, got.Worst, "%d voices", n)
			require.InDelta(t, want.Faint, got.Faint, 10, "%d voices", n) // ns: where lines cross is rounded
			require.InDelta(t, want.Plain, got.Plain, 10, "%d voices", n)
			require.InDelta(t, want.Loud, got.Loud, 1e-6*(1+want.Loud), "%d voices", n)
		}
	}
	hold(t, crowd(400, 9), 30)
	hold(t, demo(t), 24)
	for _, e := range []alloc.Envelope{ // a slow attack, none and a level that falls at once, no tail, one of the shortest
		{Attack: 100 * ms, Decay: 300 * ms, Sustain: 0.5, Release: 800 * ms}, {Attack: 15 * ms, Sustain: 0.5, Release: 3 * time.Second},
		{Sustain: 1}, {Attack: 20 * ms, Sustain: 1, Release: 20 * ms},
	} {
		s := crowd(200, 9)
		for i := range s.Rules.Config.Voices {
			s.Rules.Config.Voices[i].Envelope = e
		}
		hold(t, s, 16)
	}
	rapid.Check(t, func(t *rapid.T) {
		r, p := random(t)
		hold(t, hearing.Song{Rules: r, Performance: p, Model: hearing.Model{LevelDB: 70, Ear: hearing.KeenEar,
			Sounds: []hearing.Sound{{Cutoff: 2000}, {Cutoff: 800}}}}, 6)
	})
}
