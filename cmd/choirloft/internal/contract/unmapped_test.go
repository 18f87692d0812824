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
	song := &midi.Song{}
	for _, on := range [][2]byte{{0, 40}, {0, 45}, {0, 50}, {0, 70}, {9, 36}, {9, 38}} {
		song.Events = append(song.Events, midi.Event{Status: 0x90 | on[0], Data1: on[1], Data2: 64})
	}
	parts := []alloc.Part{{Keys: alloc.KeyRange{Low: 48, High: 60}, Velocities: [2]uint8{1, 127}, Sources: []alloc.Source{{AnyPort: true, Channels: 1}}}}
	from, keys := unmapped(song, parts)
	require.Equal(t, []string{"channel 1", "channel 10"}, from)
	require.Equal(t, []UnmappedKeys{{"channel 1", false, 2, 40, 45}, {"channel 1", false, 1, 70, 70}, {"channel 10", true, 2, 36, 38}}, keys)
}
