package plan_test

import (
	"encoding/hex"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/alloc/study"
	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing/plan"
)

// perNote is a file of format 0, 96 ticks a quarter: RPN 6 on channel 1 gives it a
// lower zone of 10 members, channels 2 to 11 (M1-100-UM: controllers 100, 101 and 6 on
// the manager). The pedal of the manager is down while a chord of three begins on
// channels 2, 3 and 10 and its keys go up one by one; a bass plays on channel 12.
const perNote = `4D546864 00000006 0000 0001 0060
4D54726B 00000059
00 B0 64 06   00 65 00   00 06 0A      RPN 6 on channel 1, 10 members
00 B0 40 7F                            its pedal goes down
00 91 3C 40   00 92 40 40   00 99 43 40    a chord on channels 2, 3 and 10
00 9B 24 40                            the bass on channel 12
30 81 3C 00   30 82 40 00   00 89 43 00
00 8B 24 00   00 9B 26 40
30 91 48 40                            a fourth note, while the pedal holds three
30 81 48 00   00 8B 26 00
00 B0 40 00
00 FF 2F 00`

func perNoteSong(t *testing.T) *midi.Song {
	var digits strings.Builder
	for _, row := range strings.Split(perNote, "\n") {
		bytes, _, _ := strings.Cut(row, "    ")
		digits.WriteString(strings.ReplaceAll(bytes, " ", ""))
	}
	data, err := hex.DecodeString(digits.String())
	require.NoError(t, err)
	data[21] = byte(len(data) - 22) // of the track
	song, err := midi.Read(data, midi.Options{})
	require.NoError(t, err)
	require.Empty(t, song.Warnings.List)
	return song
}

// TestProposedZone: one part has the whole zone, channel 10 with it, and its manager's
// pedal: three notes held and a fourth are four. The bass has a part of its own. All
// together there are five notes.
func TestProposedZone(t *testing.T) {
	song := perNoteSong(t)
	p, err := plan.Propose(song, profiles.StarterOptions{})
	require.NoError(t, err)
	require.Equal(t, []string{"zone-1", "channel-12 mono"}, line(p))
	require.Equal(t, 4, p.Lines[0].Notes)
	require.Equal(t, study.Demand{Held: 3, Pedal: 4, Audible: 4}, p.Lines[0].Demand)
	require.True(t, p.Lines[0].Sustain)
	require.Equal(t, 5, p.Demand.Pedal)
	text := string(profiles.Starter(p.Options))
	require.Contains(t, text, "zone-1: {channel: mpe lower 10, banks: [K]}")
	rig, faults := profiles.Read("song.yaml", []byte(text), nil)
	require.Empty(t, faults)
	made, err := plan.Build(rig, plan.Overrides{})
	require.NoError(t, err)
	require.Empty(t, made.Findings)
	r, err := made.Replay(song)
	require.NoError(t, err)
	require.Equal(t, 6, r.Rig.Tally.Notes)
	require.Zero(t, r.Rig.Tally.Unmapped)
	require.Zero(t, r.Rig.Tally.Damaged())
	require.Equal(t, p.Demand.Pedal, r.Rig.Demand.Pedal)
}
