package routing

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestChanges(t *testing.T) {
	same, gone, grew := New(MayLock, "a", "same"), New(MaySwap, "a", "gone"), New(MaySwap, "b", "4.0")
	assumed, measured := New(MaySwap, "c", "text"), New(MaySwap, "c", "text")
	assumed.Assumed = true
	now, came := New(MaySwap, "b", "0.8"), New(TrackingBent, "a", "came")
	before, after := []Finding{same, gone, grew, assumed}, []Finding{same, now, measured, came}
	require.Equal(t, []Change{{&before[1], nil}, {&before[2], &after[1]}, {&before[3], &after[2]}, {nil, &after[3]}}, Changes(before, after))
	require.Empty(t, Changes(before, before))
	require.Equal(t, []int{1, 0}, []int{CountAssumed(before), CountAssumed(after)})
}
