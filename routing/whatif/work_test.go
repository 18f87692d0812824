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
	half := time.Duration(float64(whole.FixesWork()) / 2 / study.WorkASecond * float64(time.Second))
	short.Budget = study.NewBudget(half)
	some := list(t, short)
	require.Less(t, some.Tried, some.Of)
	require.Positive(t, some.Tried)
	require.Equal(t, Coverage{"fixes", some.Tried, all.Of}, short.Covered[0])
	for _, f := range slices.Concat(some.Better, some.Worse) {
		require.NotContains(t, []Kind{Trim, Doubles}, f.Kinds[0], "the least promising are left out")
	}
	for _, f := range some.Better {
		if one := find(all.Better, strings.Join(f.Flags(), " ")); one != nil {
			require.Equal(t, one.After, f.After, f.Flags())
		}
	}
	short.Pairs(context.Background(), some, nil)
	require.Less(t, some.Pairs, some.OfPairs)
	require.Equal(t, "pairs", short.Covered[len(short.Covered)-1].What)
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
