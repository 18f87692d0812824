package whatif

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/alloc/study"
	"choirloft/routing/plan"
)

// TestSplit: a rig whose keys are split is asked all that one is that is not; a split on top plays as
// one that the session has, beside the same song; and without it all is as it was.
func TestSplit(t *testing.T) {
	ctx, split := context.Background(), plan.MustParse("--banks", "pad=K/60/L", "--banks", "arp=M/90/N")
	s, whole := session(t, demoRig(t), split), session(t, demoRig(t), plan.Overrides{})
	require.Len(t, s.plan.Rules.Config.Parts, 6)
	_, err := s.Size(ctx, study.SizingOptions{})
	require.NoError(t, err)
	_, err = s.SizePart(ctx, 5, study.SizingOptions{})
	require.NoError(t, err)
	_, err = s.Racks(ctx, []Rack{{Name: "2x8", Banks: 2, Size: 8}}, nil)
	require.NoError(t, err)
	one, err := s.Try(plan.Overrides{})
	require.NoError(t, err)
	other, err := whole.Try(split)
	require.NoError(t, err)
	require.Positive(t, one.Heard.Loud)
	require.Equal(t, *one, *other)
	require.Len(t, one.Parts, 4)
	again, err := s.Try(plan.MustParse("--banks", "K,L,M,N,P"))
	require.NoError(t, err)
	as, err := whole.Try(plan.MustParse("--banks", "K,L,M,N,P"))
	require.NoError(t, err)
	require.Equal(t, as.Changed, again.Changed)
	out, err := s.Losses(plan.MustParse("--banks", "pad=K/72/L"), 0)
	require.NoError(t, err)
	require.Positive(t, out.Losses)
}
