package plan_test

import (
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing/plan"
)

// The demo's channels as its description has them: pad 80 notes on keys 50–76,
// ten at once where bars overlap; bass 32; arp 192; lead 24. Together 13 are
// held at once.
func TestPropose(t *testing.T) {
	data, err := os.ReadFile("../../testdata/slow-kiln.mid")
	require.NoError(t, err)
	song, err := midi.Read(data, midi.Options{})
	require.NoError(t, err)
	p, err := plan.Propose(song, profiles.StarterOptions{})
	require.NoError(t, err)
	require.Equal(t, []string{"pad", "bass", "arp", "lead"}, p.Names)
	require.Equal(t, 13, p.Demand.Pedal)
	require.Equal(t, 4, p.Options.Banks, "13 voices are 4 banks of 4")
	require.Equal(t, 1, p.Options.Parts[0].Unison, "16 voices for 13 notes leave none to double")

	// 26 voices for 13 notes is two each, 25 is not.
	for banks, unison := range map[int]int{6: 1, 7: 2, 52: 2} {
		p, err = plan.Propose(song, profiles.StarterOptions{Banks: banks, Voices: 4})
		require.NoError(t, err)
		require.Equal(t, unison, p.Options.Parts[0].Unison, "%d banks", banks)
	}

	// What is proposed is a rig without faults or findings, on which the song
	// loses nothing.
	p, err = plan.Propose(song, profiles.StarterOptions{})
	require.NoError(t, err)
	rig, faults := profiles.Read("song.yaml", profiles.Starter(p.Options), nil)
	require.Empty(t, faults)
	made, err := plan.Build(rig, plan.Overrides{})
	require.NoError(t, err)
	require.Empty(t, made.Findings)
	r, err := made.Replay(song)
	require.NoError(t, err)
	require.Zero(t, r.Rig.Tally.Damaged())
	require.Zero(t, r.Rig.Tally.Unmapped)
}
