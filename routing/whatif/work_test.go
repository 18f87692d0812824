package whatif

import (
	"context"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"choirloft/alloc/study"
	"choirloft/routing/plan"
)

// A budget that is not enough tries the most promising and says how many; each
// that it tried has the figures that it has without a budget.
func TestFixesWithinABudget(t *testing.T) {
	rig := demoRig(t)
	eight := plan.Overrides{Voices: plan.All(8)}
	whole := session(t, rig, eight)
	all := list(t, whole)
	require.Equal(t, all.Of, all.Tried)
	require.Empty(t, whole.Covered)

	enough := session(t, rig, eight)
	enough.Budget = study.NewBudget(UsualBudget)
	require.Equal(t, all, list(t, enough))
	require.Empty(t, enough.Covered)

	short := session(t, rig, eight)
	half := time.Duration(float64(whole.playWork(whole.candidates())) / 2 / study.WorkASecond * float64(time.Second))
	short.Budget = study.NewBudget(half)
	some := list(t, short)
	require.Less(t, some.Tried, some.Of)
	require.Positive(t, some.Tried)
	require.Equal(t, Coverage{"fixes", some.Tried, all.Of}, short.Covered[0])
	for _, f := range slices.Concat(some.Better, some.Worse) {
		require.NotContains(t, []Kind{Trim, Doubles}, f.Kinds[0], "the least promising are left out")
	}
	require.Nil(t, some.Heard)
	require.Equal(t, Coverage{"heard", 0, some.Tried}, short.Covered[1])
	for _, f := range some.Better {
		require.Nil(t, f.Heard)
		if one := find(all.Better, strings.Join(f.Flags(), " ")); one != nil {
			require.Equal(t, one.After, f.After, f.Flags())
		}
	}
	short.Pairs(context.Background(), some, nil)
	require.Less(t, some.Pairs, some.OfPairs)
	require.Equal(t, "pairs", short.Covered[len(short.Covered)-1].What)
}

// Where the budget is enough to play the fixes, but not to listen, they go by their
// scores; where it is not enough for their losses by themselves, by what is heard.
func TestFixesWithinABudgetByEar(t *testing.T) {
	rig := demoRig(t)
	eight := plan.Overrides{Voices: plan.All(8)}
	all := list(t, session(t, rig, eight))
	with := func(w func(*Session) study.Work) (*Session, *List) {
		s := session(t, rig, eight)
		s.Budget = study.NewBudget(time.Duration(float64(w(s)+1) / study.WorkASecond * float64(time.Second)))
		return s, list(t, s)
	}
	s, played := with(func(s *Session) study.Work { return s.playWork(s.candidates()) })
	require.Equal(t, played.Of, played.Tried)
	require.Contains(t, s.Covered, Coverage{"heard", 0, played.Tried})
	require.Nil(t, played.Heard)
	require.NotNil(t, find(slices.Concat(played.Better, played.Worse), "--voices 15"), "by the notes")
	require.Nil(t, find(all.Better, "--voices 15"), "by ear 14 and 16")
	s, whole := with(func(s *Session) study.Work { return s.FixesWork() + s.splitWork(2) })
	require.False(t, whole.Heard.Counted)
	require.Equal(t, Coverage{"heard losses", 0, 1 + len(whole.Better) + len(whole.Worse)}, s.Covered[len(s.Covered)-1])
	for _, f := range whole.Better {
		require.Equal(t, Better, whole.Verdict(&f))
		require.False(t, f.Heard.Counted)
	}
}

// No more recordings are offered than write makes, and none to a rig that nothing
// can be dealt to.
func TestRecordingsThatCanBeWritten(t *testing.T) {
	s := session(t, demoRig(t), plan.Overrides{Voices: plan.All(1)})
	for _, f := range list(t, s).Better {
		require.LessOrEqual(t, f.Passes, study.MostPasses)
	}
	bare := demoRig(t)
	bare.Interfaces = nil
	for _, f := range list(t, session(t, bare, plan.Overrides{Voices: plan.All(8)})).Better {
		require.Zero(t, f.Passes)
	}
}
