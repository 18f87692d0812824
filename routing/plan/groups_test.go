package plan

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestGroups(t *testing.T) {
	rig := build(t, twoParts, Overrides{}).Rig
	groups, ok := ParseGroups(rig, "bass/ pad")
	require.True(t, ok)
	require.Equal(t, [][]int{{1}, {0}}, groups)
	require.Equal(t, "bass/pad", GroupsText(rig, groups))
	for _, text := range []string{"", "2", "fewest", "pad", "pad,bass", "pad/bass/pad", "pad/lead", "pad/", "pad,bass/"} {
		_, ok := ParseGroups(rig, text)
		require.False(t, ok, text)
	}
}
