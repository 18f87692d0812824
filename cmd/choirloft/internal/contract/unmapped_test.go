package contract

import (
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/alloc"
	"choirloft/midi"
)

// TestUnmappedKeys: of a channel that a part plays in its middle, the keys below and
// above are two runs; a channel that nobody plays is whole.
func TestUnmappedKeys(t *testing.T) {
	song := &midi.Song{Tempo: midi.NewTempoMap(midi.Division{Ticks: 96}, nil)}
	for _, on := range [][2]byte{{0, 40}, {0, 45}, {0, 50}, {0, 70}, {9, 36}, {9, 38}} {
		song.Events = append(song.Events, midi.Event{Status: 0x90 | on[0], Data1: on[1], Data2: 64})
	}
	parts := []alloc.Part{{Keys: alloc.KeyRange{Low: 48, High: 60}, Velocities: [2]uint8{1, 127}, Sources: []alloc.Source{{AnyPort: true, Channels: 1}}}}
	from, keys := unmapped(song.Steps(midi.Order{}), parts)
	require.Equal(t, []string{"channel 1", "channel 10"}, from)
	require.Equal(t, []UnmappedKeys{{"channel 1", false, 2, 40, 45}, {"channel 1", false, 1, 70, 70}, {"channel 10", true, 2, 36, 38}}, keys)
}

// TestUnmappedInZones: a part that plays a zone plays its members, until RPN 6 (MPE,
// M1-100-UM) makes the zone smaller: here 15 members, then 2.
func TestUnmappedInZones(t *testing.T) {
	song := &midi.Song{Tempo: midi.NewTempoMap(midi.Division{Ticks: 96}, nil), Events: []midi.Event{
		{Status: 0x94, Data1: 60, Data2: 64}, {Status: 0x84, Data1: 60, Tick: 1},
		{Status: 0xB0, Data1: 101, Tick: 2}, {Status: 0xB0, Data1: 100, Data2: 6, Tick: 2}, {Status: 0xB0, Data1: 6, Data2: 2, Tick: 2},
		{Status: 0x92, Data1: 62, Data2: 64, Tick: 3}, {Status: 0x94, Data1: 64, Data2: 64, Tick: 3}}}
	parts := []alloc.Part{{Keys: alloc.KeyRange{High: 127}, Velocities: [2]uint8{1, 127}, Zones: []midi.Zone{{AnyPort: true, Members: 15}}}}
	from, keys := unmapped(song.Steps(midi.Order{}, alloc.ZonesOf(parts)...), parts)
	require.Equal(t, []string{"channel 5"}, from)
	require.Equal(t, []UnmappedKeys{{"channel 5", false, 1, 64, 64}}, keys)
}
