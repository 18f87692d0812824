package plan_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing/plan"
)

// twoPorts has key 60 on channel 1 of port 1, and key 64 on channel 1 of port 2
// (FF 21 01, which counts from 0); 96 ticks a quarter, format 1.
const twoPorts = "MThd\x00\x00\x00\x06\x00\x01\x00\x02\x00\x60" +
	"MTrk\x00\x00\x00\x0b\x00\x90\x3c\x40\x60\x3c\x00\x00\xff\x2f\x00" +
	"MTrk\x00\x00\x00\x10\x00\xff\x21\x01\x01\x00\x90\x40\x40\x60\x40\x00\x00\xff\x2f\x00"

// TestProposedPartsKeepToTheirPort: each note is played once, and not by the
// part of the same channel on another port too.
func TestProposedPartsKeepToTheirPort(t *testing.T) {
	song, err := midi.Read([]byte(twoPorts), midi.Options{})
	require.NoError(t, err)
	require.Empty(t, song.Warnings.List)
	p, err := plan.Propose(song, profiles.StarterOptions{})
	require.NoError(t, err)
	require.Len(t, p.Options.Parts, 2)
	rig, faults := profiles.Read("song.yaml", profiles.Starter(p.Options), nil)
	require.Empty(t, faults)
	made, err := plan.Build(rig, plan.Overrides{})
	require.NoError(t, err)
	r, err := made.Replay(song)
	require.NoError(t, err)
	require.Equal(t, 2, r.Rig.Tally.Notes)
	require.Equal(t, []int{1, 1}, []int{r.Parts[0].Tally.Notes, r.Parts[1].Tally.Notes})
}
