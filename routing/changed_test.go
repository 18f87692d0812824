package routing

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestChanges(t *testing.T) {
	of := func(code Code, where, text string) Finding { return Finding{Code: code, Where: where, Text: text} }
	same, gone, grew := of(MayLock, "a", "same"), of(MaySwap, "a", "gone"), of(MaySwap, "b", "4.0")
	assumed, measured := of(MaySwap, "c", "text"), of(MaySwap, "c", "text")
	assumed.Assumed = true
	now, came := of(MaySwap, "b", "0.8"), of(TrackingBent, "a", "came")
	before, after := []Finding{same, gone, grew, assumed}, []Finding{same, now, measured, came}
	require.Equal(t, []Change{{&before[1], nil}, {&before[2], &after[1]}, {&before[3], &after[2]}, {nil, &after[3]}}, Changes(before, after))
	require.Empty(t, Changes(before, before))
	require.Equal(t, []int{1, 0}, []int{CountAssumed(before), CountAssumed(after)})
}
