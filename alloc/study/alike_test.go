package study

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"choirloft/alloc"
)

// Runs that are taken to cost the same do: all of them are played one by one beside,
// on racks of every size up to more than sound at once.
func TestRunsThatCostTheSame(t *testing.T) {
	r, p := crowdedSong(300, 8)
	r.Config.FreeDB = -50
	s := newSizing(r, NewReference(Pooled(r, 1), p))
	s.Rulesets = onlineRulesets()
	second := s.Rulesets[0]
	second.Pick, second.Second = alloc.PickSameKey, alloc.PickStrictRoundRobin
	s.Rulesets = append(s.Rulesets, second)
	last := quietsOf(r, s.Reference).sounds + 3
	shared, alone := points(last, len(s.Rulesets)), points(last, len(s.Rulesets))
	require.NoError(t, s.playPoints(t.Context(), r, p, SizingOptions{}, shared))
	require.NoError(t, s.playPoints(t.Context(), r, p, SizingOptions{Watch: func(int, int, *Reference, []Outcome) {}}, alone))
	require.Equal(t, alone, shared)
	ways := len(s.Rulesets) + 1
	require.Less(t, len(s.jobs(r, shared, false)), last*ways*9/10)
	r.Config.Parts[0].Reserve = 1
	require.Equal(t, last*(ways-1), len(s.jobs(r, shared, false)), "but for the rules of the parts, which stand among the others")
}

// A ruleset is played by every part, of rules that stay as they are.
func TestRulesetOnEveryPart(t *testing.T) {
	r := Rules{Config: alloc.Config{Parts: make([]alloc.Part, 2)}}
	set := Ruleset{Pick: alloc.PickSameKey, Second: alloc.PickLowest, Steal: alloc.StealNewest, TailsUnknown: true}
	for _, p := range set.on(r).Config.Parts {
		require.Equal(t, set, Ruleset{p.Pick, p.Second, p.Steal, p.TailsUnknown})
	}
	require.Equal(t, make([]alloc.Part, 2), r.Config.Parts)
}

// What begins as another ends may come first: two gates of one after the other are one too many for a voice.
func TestGatesThatMeet(t *testing.T) {
	r, _ := crowdedSong(1, 1)
	r.Config.Voices[0].Envelope = alloc.Envelope{Sustain: 1}
	ref := NewReference(r, Performance{Steps: stepsOf(t, "0 on 60, 100 off 60, 100 on 62, 200 off 62"), End: time.Second})
	require.Equal(t, quiets{2, 2}, quietsOf(r, ref))
}

// By hand, of a song with two gates high at once at most, and three voices that sound: which
// runs are one, by what each part picks, steals and hears on how many voices.
func TestWhichRunsAreOne(t *testing.T) {
	q := quiets{gates: 2, sounds: 3}
	hears, deaf := alloc.Part{Pick: alloc.PickLowest, Steal: alloc.StealOldest}, alloc.Part{Pick: alloc.PickLowest, Steal: alloc.StealOldest, TailsUnknown: true}
	newest := func(p alloc.Part) alloc.Part { p.Steal = alloc.StealNewest; return p }
	picks := func(p alloc.Part, rules ...alloc.PickRule) alloc.Part {
		p.Pick, p.Second = rules[0], rules[len(rules)-1]
		return p
	}
	idle := picks(hears, alloc.PickLongestIdle)
	same, insists := picks(hears, alloc.PickSameKey, alloc.PickLowest), picks(hears, alloc.PickStrictRoundRobin)
	type parts = []alloc.Part
	for _, c := range []struct {
		why    string
		q      quiets
		v, w   int
		one, b parts
		want   bool
	}{
		{"a gate too few: who is taken counts", q, 1, 1, parts{deaf}, parts{newest(deaf)}, false},
		{"a gate is low: nothing is taken from one", q, 2, 2, parts{deaf}, parts{newest(deaf)}, true},
		{"which voice counts for the tails", q, 3, 3, parts{deaf}, parts{picks(deaf, alloc.PickLongestIdle)}, false},
		{"and so does another voice", q, 3, 4, parts{deaf}, parts{deaf}, false},
		{"a tail too many: who is cut counts", q, 2, 2, parts{hears}, parts{newest(hears)}, false},
		{"a voice is silent: nothing is cut", q, 3, 3, parts{hears}, parts{newest(idle)}, true},
		{"nor on one more", q, 3, 4, parts{hears}, parts{hears}, true},
		{"nor on one voice, where that is enough", quiets{1, 1}, 1, 2, parts{hears}, parts{newest(idle)}, true},
		{"same-key cuts its own", q, 3, 3, parts{hears}, parts{same}, false},
		{"and does so on one more", q, 3, 4, parts{same}, parts{same}, true},
		{"hearing tails counts", q, 3, 3, parts{same}, parts{picks(deaf, alloc.PickSameKey, alloc.PickLowest)}, false},
		{"what insists takes gates", q, 3, 3, parts{insists}, parts{newest(insists)}, false},
		{"as does a second rule", q, 3, 3, parts{picks(hears, alloc.PickSameKey, alloc.PickFixed)}, parts{newest(picks(hears, alloc.PickSameKey, alloc.PickFixed))}, false},
		{"beside a part that is deaf nothing is cut either", q, 3, 3, parts{hears, deaf}, parts{newest(hears), newest(deaf)}, true},
		{"but with two voices", q, 2, 2, parts{hears, deaf}, parts{newest(hears), deaf}, false},
		{"which of the parts is deaf counts", q, 3, 3, parts{hears, deaf}, parts{deaf, hears}, false},
		{"a rack of which nothing is known", quiets{}, 9, 9, parts{deaf}, parts{newest(deaf)}, false},
		{"the same, with tails heard", quiets{}, 9, 9, parts{hears}, parts{newest(hears)}, false},
	} {
		require.Equal(t, c.want, c.q.run(c.v, c.one) == c.q.run(c.w, c.b), c.why)
	}
}
