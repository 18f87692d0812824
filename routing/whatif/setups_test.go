package whatif

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"choirloft/midi/corpora"
	"choirloft/profiles"
	"choirloft/profiles/wild"
	"choirloft/routing/plan"
	"choirloft/routing/setups"
)

// Who plays which voices. On stage the sequencer has bank K; L3 is out in the rig, and M has no
// jack left: 3 pitches and 3 gates are K1, K2 and L1, so that L2 and M1 are silent in both.
func TestSetUps(t *testing.T) {
	rig, faults := profiles.Read("rig.yaml", []byte(`rig: Shed
interfaces: {main: {cv: 3, gates: 3, window: 0 V to 5 V}}
sequencers: {seq: {parts: 2}}
banks: {K: {voices: 2}, L: {voices: 3, out: [3]}, M: {voices: 1}}
set_ups: {studio: {from: main}, stage: {from: seq, parts: {1: K}}, hall: {from: seq, parts: {1: [K, L]}}}
`), nil)
	require.Empty(t, faults)
	all, err := NewSetUps(rig, plan.Overrides{Without: []string{"K1"}})
	require.NoError(t, err)
	require.Len(t, all, 3)
	studio, stage, hall := all[0], all[1], all[2]
	require.Equal(t, []int{0, 1, 2}, studio.Dealt, "what is tried without a voice is left aside")
	require.Equal(t, []string{"L2", "M1"}, studio.Without)
	require.Equal(t, 6, studio.Cables, "a pitch and a gate a voice")
	require.Equal(t, []int{2}, stage.Dealt)
	require.Equal(t, []string{"K1", "K2", "L2", "M1"}, stage.Without)
	require.Equal(t, []int{3, 5}, stage.Silent)
	require.Equal(t, 1, stage.Plan.InService())
	require.Empty(t, hall.Dealt)
	require.Nil(t, hall.Plan)
}

// Over drawn rigs: a set-up never asks for what a rig cannot do. Each voice that a song has there gets its
// pitch and its gate from an interface, and is in no bank that a sequencer plays.
func init() { corpora.Checks("10", "100") }

func TestSetUpsOfDrawnRigs(t *testing.T) {
	met := 0
	rapid.Check(t, func(t *rapid.T) {
		rig, faults := profiles.Read("rig.yaml", []byte(wild.Rig(t, wild.Small)), nil)
		if len(faults) > 0 {
			t.Skip("a rig with faults")
		}
		all, err := NewSetUps(rig, plan.Overrides{})
		require.NoError(t, err)
		require.Len(t, all, len(rig.SetUps))
		for _, x := range all {
			if x.Plan == nil {
				require.Empty(t, x.Dealt)
				continue
			}
			met++
			patch := setups.New(x.Plan.Map, x.SetUp)
			for _, i := range x.Dealt {
				require.True(t, patch.Plays(i))
				require.NotContains(t, x.Ranked, x.Plan.Rig.Voices[i].Bank)
				require.NotContains(t, x.Silent, i)
				require.NotContains(t, x.Without, x.Plan.Rig.Voices[i].Name)
			}
		}
	})
	require.NotZero(t, met)
}
