package hearing_test

import (
	"context"
	"os"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"choirloft/alloc/study"
	"choirloft/alloc/study/hearing"
	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing/plan"
)

func demo(t testing.TB) hearing.Song {
	rig, err := profiles.Load("../../../testdata/kiln-yard.yaml")
	require.NoError(t, err)
	p, err := plan.Build(rig, plan.Overrides{})
	require.NoError(t, err)
	data, err := os.ReadFile("../../../testdata/slow-kiln.mid")
	require.NoError(t, err)
	song, err := midi.Read(data, midi.Options{})
	require.NoError(t, err)
	model, _ := p.Ear()
	return hearing.Song{Model: model, Rules: p.Rules, Performance: p.Performance(song)}
}

// Two models of the same text, made without this one, want 16 voices for the demo,
// 14 where nothing is to be missed plainly, and 17 with triangle waves.
func TestDemo(t *testing.T) {
	s := demo(t)
	c, err := hearing.NewCurve(s)
	require.NoError(t, err)
	d, err := c.Demand(24) // its peak with tails, see the tests of package study
	require.NoError(t, err)
	require.Equal(t, hearing.Demand{None: 16, PlainNone: 14}, d)
	list, err := c.To(context.Background(), 24)
	require.NoError(t, err)
	for i, v := range list {
		require.Equal(t, i+1 >= 16, v.Faint == 0 && v.Worst < 1, "%d voices", i+1)
		require.Equal(t, i+1 >= 14, v.Plain == 0 && v.Worst < 3, "%d voices", i+1)
		if i > 0 { // more voices may be worse by rule; here they are not
			require.LessOrEqual(t, v.Faint, list[i-1].Faint)
		}
	}
	require.InDelta(t, 0.14, list[9].ShareFaint, 0.02, "10 voices; 14 % by one of the other models")

	varied, of, err := c.Vary(context.Background(), 24)
	require.NoError(t, err)
	require.Len(t, varied, of)
	require.Equal(t, 6, of)
	require.Equal(t, hearing.Variation{Name: "triangle", Most: 24, Demand: hearing.Demand{None: 17, PlainNone: 16}}, varied[1])
	for _, v := range varied {
		t.Logf("%+v", v)
		if v.Name == "dull" {
			require.LessOrEqual(t, v.None, d.None)
		}
	}
}

// The 24 bass notes below the window are wrong pitches, each heard plainly, and in no
// other sum; parts and whole have the same losses.
func TestDemoLosses(t *testing.T) {
	s := demo(t)
	for _, voices := range []int{10, 24} {
		r := study.Pooled(s.Rules, voices)
		replay, err := study.Play(r, s.Performance)
		require.NoError(t, err)
		a, err := hearing.NewAsked(s.Model, r.Config.Parts, replay.Reference)
		require.NoError(t, err)
		h := hearing.Hear(a, hearing.Of(r, replay))
		require.Equal(t, 24, replay.Rig.Tally.Clamped)
		require.Equal(t, 24, h.WrongPlain)
		whole := hearing.Whole(a, hearing.Of(r, replay))
		require.InDelta(t, h.Whole.Faint.Seconds(), whole.Faint.Seconds(), 1e-3)
		require.Equal(t, h.Whole.Worst, whole.Worst)
		sum := 0
		for _, p := range h.Parts {
			sum += p.Losses
			require.LessOrEqual(t, p.Faint, h.Whole.Faint)
		}
		require.Equal(t, h.Whole.Losses, sum)
		require.Equal(t, voices == 10, sum > 0)
		require.Equal(t, voices == 10, len(h.Moments) > 0)
		for _, m := range h.Moments {
			require.NotEmpty(t, m.Losses)
			require.GreaterOrEqual(t, m.Worst, 1.0)
		}
		// The moments of a part last as long as its verdict says, and hold the losses that it
		// counts; each meets one of the song.
		for i := range h.Parts {
			of := h.Of(i)
			lasts, losses := time.Duration(0), map[int]bool{}
			for _, m := range of.Moments {
				lasts += m.To - m.From
				require.True(t, slices.ContainsFunc(h.Moments, func(w hearing.Moment) bool { return w.From < m.To && w.To > m.From }))
				for _, x := range m.Losses {
					require.Equal(t, i, a.Reference.Notes[h.Losses[x].Note].Part)
					losses[x] = true
				}
			}
			require.InDelta(t, of.Whole.Faint.Seconds(), lasts.Seconds(), 1e-6)
			require.Len(t, losses, of.Whole.Losses)
		}
		starts := true
		for _, i := range h.Ranked() {
			require.True(t, starts || !h.Losses[i].Starts)
			starts = h.Losses[i].Starts
		}
	}
}
