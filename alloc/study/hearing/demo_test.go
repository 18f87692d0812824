package hearing_test

import (
	"context"
	"fmt"
	"os"
	"testing"

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
	s := hearing.Song{Rules: p.Rules, Performance: p.Performance(song),
		Model: hearing.Model{LevelDB: 70, Ear: hearing.KeenEar}}
	for range p.Rules.Config.Parts {
		s.Model.Sounds = append(s.Model.Sounds, hearing.Sound{Wave: hearing.Saw, Cutoff: 2000})
	}
	return s
}

func TestTry(t *testing.T) {
	s := demo(t)
	c, err := hearing.NewCurve(s)
	require.NoError(t, err)
	list, err := c.To(context.Background(), 24)
	require.NoError(t, err)
	for i, v := range list {
		fmt.Println(i+1, v.Faint, v.Plain, v.Worst, v.ShareFaint, v.SharePlain)
	}
	fmt.Println(c.Demand(24))
	for _, w := range []hearing.Wave{hearing.Square, hearing.Triangle, hearing.Sine} {
		s := demo(t)
		for i := range s.Model.Sounds {
			s.Model.Sounds[i].Wave = w
		}
		c, _ := hearing.NewCurve(s)
		fmt.Println(w)
		fmt.Println(c.Demand(24))
	}
	r := study.Pooled(s.Rules, 10)
	rep, err := study.Play(r, s.Performance)
	require.NoError(t, err)
	a, err := hearing.NewAsked(s.Model, r.Config.Parts, rep.Reference)
	require.NoError(t, err)
	h := hearing.Hear(a, hearing.Of(r, rep))
	fmt.Println(h.Whole, h.Parts, h.WrongFaint, h.WrongPlain, len(h.Losses), len(h.Moments))
	for _, i := range h.Ranked()[:10] {
		fmt.Printf("%+v\n", h.Losses[i])
	}
}
