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

// BenchmarkSearch plays a song of 3 000 notes in 24 ways and listens, as a search does with
// what it tries: from what the keys do, taken down once, with what was heard of those
// before; and each from the steps of the song, as if it were the first. It reports how
// many times as long the latter takes: at least 2.
func BenchmarkSearch(b *testing.B) {
	s := crowd(3000, 14)
	ref := study.NewReference(s.Rules, s.Performance)
	a, err := hearing.NewAsked(s.Model, s.Rules.Config.Parts, ref)
	require.NoError(b, err)
	steps := s.Performance
	steps.Steps = slices.Clone(steps.Steps) // of which nothing was taken down
	ways := variants(s.Rules)
	search := func(p study.Performance, forget bool) time.Duration {
		from := processor(b)
		h := study.NewRehearsal(p, ref)
		h.KeepTime()
		a.Forget()
		for _, r := range ways {
			_, err := h.Score(r)
			require.NoError(b, err)
			as, err := a.Match(hearing.Run{Rules: r, Reference: ref, Outcomes: h.Outcomes(), Cuts: h.Cuts()})
			require.NoError(b, err)
			if forget {
				a.Forget()
			}
			hearing.Whole(a, as)
		}
		return processor(b) - from
	}
	var kept, anew time.Duration
	for b.Loop() {
		kept += search(s.Performance, false)
		anew += search(steps, true)
	}
	b.ReportMetric(float64(anew)/float64(kept), "times")
	b.ReportMetric(float64(b.N*len(ways))/kept.Seconds(), "candidates/s")
}
