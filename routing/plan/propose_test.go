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

// Four notes and one at once need five voices: two banks of four, of which each part
// gets one. Three lines share two banks. With 3 banks of 4 there are 12 voices for 5
// notes: two each, which are 8 and 2 voices, so two banks and one.
func TestProposedBanks(t *testing.T) {
	chord := []played{{0, 1, 60, 0, 96}, {0, 1, 64, 0, 96}, {0, 1, 67, 0, 96}, {0, 1, 71, 0, 96}}
	bass := []played{{1, 2, 36, 0, 48}, {1, 2, 38, 48, 96}}
	for _, row := range []struct {
		notes  []played
		banks  int
		want   [][]int
		unison int
	}{
		{append(chord, bass...), 0, [][]int{{0}, {1}}, 1},
		{append(chord, bass...), 3, [][]int{{0, 1}, {2}}, 2},
		{append(chord, bass...), 4, [][]int{{0, 1, 2}, {3}}, 2},
		{append(append(chord, bass...), played{1, 3, 40, 0, 96}), 0, [][]int{nil, nil, nil}, 1},
		{chord, 0, [][]int{nil}, 1},
	} {
		p, err := plan.Propose(songOf(t, []string{"chord", "bass"}, row.notes...), profiles.StarterOptions{Banks: row.banks})
		require.NoError(t, err)
		var got [][]int
		for _, part := range p.Options.Parts {
			got = append(got, part.Banks)
		}
		require.Equal(t, row.want, got)
		require.Equal(t, row.unison, p.Options.Parts[0].Unison)
		checkProposal(t, p)
	}
}

// What General MIDI keeps for drums is left out, and the rig says so.
func TestProposalLeavesDrumsOut(t *testing.T) {
	song := songOf(t, []string{"a", "b"}, played{0, 1, 60, 0, 96}, played{1, 10, 36, 0, 96}, played{1, 10, 36, 96, 192})
	p, err := plan.Propose(song, profiles.StarterOptions{})
	require.NoError(t, err)
	require.Len(t, p.Options.Parts, 1)
	require.Contains(t, string(profiles.Starter(p.Options)), "\n  # channel 10 left out: 2 notes of drums\n")
}
