package whatif

import (
	"context"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"choirloft/alloc"
	"choirloft/alloc/study"
	"choirloft/alloc/study/hearing"
	"choirloft/routing/plan"
)

// Who is interrupted before or while they listen still hear how many voices the song
// needs, if that takes no longer than a moment, and what was heard by then.
func TestListenInterrupted(t *testing.T) {
	s := session(t, demoRig(t), plan.Overrides{})
	sized, err := s.Size(t.Context(), study.SizingOptions{})
	require.NoError(t, err)
	whole, err := s.Listen(t.Context(), sized)
	require.NoError(t, err)
	require.False(t, whole.Interrupted)
	require.Len(t, whole.Points, len(sized.Points))
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	some, err := s.Listen(ctx, sized)
	require.NoError(t, err)
	require.True(t, some.Interrupted)
	require.Equal(t, whole.Demand, some.Demand)
	require.Less(t, len(some.Points), len(sized.Points))
	for voices, v := range some.Points {
		require.Equal(t, whole.Points[voices], v)
	}
}

// Losses are judged by themselves where the budget pays for all the time that they last,
// as a replay has it.
func TestLossesArePaidFor(t *testing.T) {
	s := session(t, demoRig(t), plan.MustParse("--voices", "8"))
	sized, err := s.Size(t.Context(), study.SizingOptions{})
	require.NoError(t, err)
	worth := func(w study.Work) *study.Budget {
		return study.NewBudget(time.Duration(w) * time.Second / study.WorkASecond)
	}
	for _, c := range []struct {
		work study.Work
		paid bool
	}{{s.nowWork() * 99 / 100, false}, {s.nowWork() * 101 / 100, true}} {
		s.Budget, s.listening = study.NewBudget(0), worth(c.work)
		h, err := s.Listen(t.Context(), sized)
		require.NoError(t, err)
		require.Equal(t, c.paid, h.Now != nil)
	}
}

// On a rack whose parts share all banks is heard what is heard on so many voices; where
// the budget is gone nobody listens, and it says so.
func TestRacksAreHeard(t *testing.T) {
	s := session(t, demoRig(t), plan.Overrides{})
	sized, err := s.Size(t.Context(), study.SizingOptions{})
	require.NoError(t, err)
	curve, err := s.Listen(t.Context(), sized)
	require.NoError(t, err)
	racks, err := s.Racks(t.Context(), []Rack{{Name: "few", Banks: 3, Size: 4}, {Name: "more", Banks: 4, Size: 4}}, nil)
	require.NoError(t, err)
	for _, r := range racks {
		want, got := curve.Points[r.Banks*r.Size].Measure, r.Heard.Measure
		require.InDelta(t, want.Loud, got.Loud, 1e-9, "%s: the sum of more runs, in another order", r.Name)
		got.Loud = want.Loud
		require.Equal(t, want, got, r.Name)
	}
	require.Positive(t, racks[0].Heard.Measure.Plain)
	require.Zero(t, racks[1].Heard.Measure.Faint)

	p, err := s.racked(Rack{Banks: 3, Size: 4})
	require.NoError(t, err)
	_, run, err := rehearse(p.Rules, s.given, s.ref)
	require.NoError(t, err)
	s.Budget = study.NewBudget(0)
	heard, err := s.hearRack(run)
	require.NoError(t, err)
	require.Nil(t, heard)
	require.Equal(t, []Coverage{{What: "heard racks", Tried: 0, Of: 1}}, s.Covered)
}

// Runs of the sizing are not played again to listen: what is heard is as if they were.
func TestListenToWhatWasSized(t *testing.T) {
	s := session(t, demoRig(t), plan.Overrides{})
	sized, err := s.Size(t.Context(), study.SizingOptions{Rulesets: []study.Ruleset{{Steal: alloc.StealOldest}, {Pick: alloc.PickLowest, TailsUnknown: true}}})
	require.NoError(t, err)
	got, err := s.Listen(t.Context(), sized)
	require.NoError(t, err)
	model, _ := s.plan.Ear()
	c, err := hearing.NewCurve(hearing.Song{Model: model, Rules: s.plan.Rules, Performance: s.given})
	require.NoError(t, err)
	want, err := c.To(t.Context(), sized.Last)
	require.NoError(t, err)
	for i, v := range want {
		require.Equal(t, v, got.Points[i+1], "%d voices", i+1)
	}
	require.Positive(t, want[0].Plain)
}
