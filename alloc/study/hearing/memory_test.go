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
)

// variants of rules: other picking and stealing, and fewer voices.
func variants(r study.Rules) (all []study.Rules) {
	for _, steal := range []alloc.StealRule{alloc.StealOldest, alloc.StealNone, alloc.StealQuietest, alloc.StealLowest} {
		for _, pick := range []alloc.PickRule{alloc.PickLongestIdle, alloc.PickLowest, alloc.PickNearest} {
			for less := range 2 {
				v := r
				v.Config.Voices = r.Config.Voices[:max(1, len(r.Config.Voices)-less)]
				v.Config.Parts = slices.Clone(r.Config.Parts)
				for i := range v.Config.Parts {
					v.Config.Parts[i].Steal, v.Config.Parts[i].Pick = steal, pick
				}
				all = append(all, v)
			}
		}
	}
	return all
}

// tryOut plays a song by rules and puts it beside what is asked.
func tryOut(t require.TestingT, a *hearing.Asked, r study.Rules, p study.Performance, ref *study.Reference) hearing.Played {
	h := study.NewRehearsal(p, ref)
	h.KeepTime()
	_, err := h.Score(r)
	require.NoError(t, err)
	as, err := a.Match(hearing.Run{Rules: r, Reference: ref, Outcomes: slices.Clone(h.Outcomes()), Cuts: slices.Clone(h.Cuts())})
	require.NoError(t, err)
	return as
}

// What is heard of many ways of playing a song, one after the other, is to the last bit what
// is heard of each by somebody who has heard none before.
func TestMemory(t *testing.T) {
	kept, heard := 0, 0
	hold := func(t require.TestingT, r study.Rules, p study.Performance, m hearing.Model, lists ...[]study.Rules) {
		ref := study.NewReference(r, p)
		a, err := hearing.NewAsked(m, r.Config.Parts, ref)
		require.NoError(t, err)
		for _, v := range slices.Concat(lists...) {
			own := ref
			if !slices.Equal(v.Envelopes(), ref.Envelopes) {
				own = study.NewReference(v, p)
			}
			fresh, err := hearing.NewAsked(m, r.Config.Parts, ref)
			require.NoError(t, err)
			want := hearing.Whole(fresh, tryOut(t, fresh, v, p, own))
			require.Equal(t, want, hearing.Whole(a, tryOut(t, a, v, p, own)))
			heard += fresh.Kept()
		}
		kept += a.Kept()
	}
	for _, gap := range []time.Duration{0, 3 * ms, 40 * ms} {
		s := crowd(600, 9)
		s.Rules.Gap = gap
		hold(t, s.Rules, s.Performance, s.Model, variants(s.Rules), variants(s.Rules.Stretched(0.5))[:4])
	}
	rapid.Check(t, func(t *rapid.T) {
		r, p := random(t)
		for i := range r.Config.Parts {
			r.Config.Parts[i].Unison = alloc.Unison{Voices: 1, WhenShort: alloc.Thin}
		}
		hold(t, r, p, hearing.Model{LevelDB: 70, Ear: hearing.KeenEar, Sounds: []hearing.Sound{{Cutoff: 2000}, {Cutoff: 800}}}, variants(r)[:8])
	})
	t.Logf("%d spans kept of %d", kept, heard)
	require.Less(t, kept, heard/2)
}

// BenchmarkSearch listens to ways of playing a song of 3 000 notes as a search does, once
// with what was heard of those before and once with each by itself: how many times as long
// the latter takes.
func BenchmarkSearch(b *testing.B) {
	s := crowd(3000, 14)
	ref := study.NewReference(s.Rules, s.Performance)
	a, err := hearing.NewAsked(s.Model, s.Rules.Config.Parts, ref)
	require.NoError(b, err)
	var tried []hearing.Played
	for _, v := range variants(s.Rules) {
		tried = append(tried, tryOut(b, a, v, s.Performance, ref))
	}
	var kept, anew time.Duration
	for b.Loop() {
		a.Forget()
		from := processor(b)
		for _, p := range tried {
			hearing.Whole(a, p)
		}
		kept += processor(b) - from
		from = processor(b)
		for _, p := range tried {
			a.Forget()
			hearing.Whole(a, p)
		}
		anew += processor(b) - from
	}
	b.ReportMetric(float64(anew)/float64(kept), "times")
}
