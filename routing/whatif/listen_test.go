package whatif

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/alloc/study"
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
