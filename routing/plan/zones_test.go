package plan

import (
	"encoding/hex"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"choirloft/midi"
)

// From the bytes of a file on: a mode message to the manager of a zone ends the
// notes of its members (M1-100-UM: it is for the whole zone), also for the order
// of an instant. Key 60 of a member begins at 0 and has no off; the message is at
// 10; at 20 the key begins again and ends at once. Where the message was heard,
// that note has no length and so the shortest gate, 5 ms; where not, its off is
// the first note's, and it is stuck to the end at 40. Ticks are milliseconds:
// 25 frames of 40.
func TestModeMessagesToAManager(t *testing.T) {
	const lower7, upper7 = "00 B06500 00 B06406 00 B00607 ", "00 BF6500 00 BF6406 00 BF0607 "
	for _, c := range []struct {
		name, channel   string // that the rig listens to
		setup           string // what the file says of zones
		member, manager string // channels of the notes and of the message, in hex
		ends            bool
	}{
		{"lower zone", "mpe lower 7", "", "1", "0", true},
		{"its last member", "mpe lower 7", "", "7", "0", true},
		{"upper zone", "mpe upper 7", "", "8", "F", true},
		{"all other channels", "mpe upper", "", "0", "F", true},
		{"made larger by the file", "mpe lower 2", lower7, "3", "0", true},
		{"the other zone's manager", "mpe lower 7", upper7, "1", "F", false},
		{"a member's is its own", "mpe lower 7", "", "2", "1", false},
		{"no zone in the rig", "[1, 2]", lower7, "1", "0", false},
	} {
		p := build(t, "rig: Zoned\nbanks: {K: {voices: 4}}\nparts: {all: {channel: "+c.channel+"}}\n", Overrides{})
		for _, controller := range []int{120, 123, 124, 125, 126, 127} {
			on, off := "9"+c.member+"3C40 ", "8"+c.member+"3C40 "
			track := c.setup + "00" + on + fmt.Sprintf("0A B%s%02X00 ", c.manager, controller) + "0A" + on + "00" + off + "14 FF2F00"
			song := songFrom(t, track)
			h, err := p.Hear(song)
			require.NoError(t, err)
			notes := h.Replay.Reference.Notes
			last := notes[len(notes)-1]
			require.Equal(t, 20*time.Millisecond, last.Start)
			want := 25 * time.Millisecond
			if !c.ends {
				want = 40 * time.Millisecond
			}
			require.Equal(t, want, last.End, "%s, controller %d", c.name, controller)
			require.Equal(t, c.ends, last.Zero)
			require.Equal(t, !c.ends, last.Stuck)
		}
	}
}

// songFrom is a file of one track in hex, ticks of a millisecond.
func songFrom(t *testing.T, track string) *midi.Song {
	t.Helper()
	track = strings.ReplaceAll(track, " ", "")
	data, err := hex.DecodeString(fmt.Sprintf("4D54686400000006"+"00000001E728"+"4D54726B%08X", len(track)/2) + track)
	require.NoError(t, err)
	song, err := midi.Read(data, midi.Options{})
	require.NoError(t, err)
	require.Empty(t, song.Warnings.List)
	return song
}
