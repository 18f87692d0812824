package whatif

import (
	"context"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"choirloft/alloc/study"
	"choirloft/routing/plan"
)

// The number of voices needed by ear has a budget apart: where the others have used
// theirs up, it is what a replay says.
func TestNeededByEarIsApart(t *testing.T) {
	rig, song := demoRig(t), demoSong(t)
	s, err := New(rig, plan.Overrides{}, song)
	require.NoError(t, err)
	s.Limit(10 * time.Second)
	sizing, err := s.Size(context.Background(), study.SizingOptions{})
	require.NoError(t, err)
	s.Budget = study.NewBudget(0)
	h, err := s.Listen(context.Background(), sizing)
	require.NoError(t, err)
	p, err := plan.Draft(rig, plan.Overrides{})
	require.NoError(t, err)
	replayed, err := p.Listen(song, s.Before(), study.NewBudget(plan.Listening))
	require.NoError(t, err)
	require.Equal(t, 16, replayed.Demand.None)
	require.Equal(t, replayed.Demand, h.Demand)
	require.Empty(t, h.Varied)
}
