package midi

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"
	"gitlab.com/gomidi/midi/v2/smf"
)

// FuzzAgainstGomidi compares what is read with gomidi v2.3.24, on files that
// are as the standard has them: elsewhere gomidi is no reference (it panics on
// SMPTE divisions, and loses notes in running status after a meta event).
func FuzzAgainstGomidi(f *testing.F) {
	f.Add([]byte{1, 2, 96})
	f.Add([]byte("\x02\x60\x00\x00\x3C\x40\x10\x00\x3C\x00\x00\x40\x40\x01\x08\x05\x21\x10\x00\x03\x04\x05\x06\x07\x08\x09\x0A\x0B\x0C"))
	f.Add(bytes.Repeat([]byte{0x01, 0x90, 0x3C, 0x40, 0xFF, 0x07, 0xE3, 0x81, 0x00}, 40))
	f.Fuzz(func(t *testing.T, recipe []byte) {
		data := cleanFile(recipe)
		song, err := Read(data, Options{})
		require.NoError(t, err)
		require.Empty(t, song.Warnings.List)
		requireLikeGomidi(t, song, data)
	})
}

// cleanFile makes a MIDI file as the standard has it of any bytes.
func cleanFile(recipe []byte) []byte {
	next := func() byte {
		if len(recipe) == 0 {
			return 0
		}
		b := recipe[0]
		recipe = recipe[1:]
		return b
	}
	tracks := make([]trackBytes, 1+next()%4)
	division := 1 + int(next())
	for len(recipe) > 0 {
		track := &tracks[int(next())%len(tracks)]
		ticks := int(next())
		if ticks >= 0xF8 {
			ticks <<= ticks & 7 * 2
		}
		switch status, a, b := next(), next(), next(); {
		case status < 0x80: // as it was, if there is something to run on
			track.message(ticks, max(track.running, 0x90), []byte{a & 127, b & 127}[:dataBytes(max(track.running, 0x90))]...)
		case status < 0xF0:
			track.message(ticks, status, []byte{a & 127, b & 127}[:dataBytes(status)]...)
		case status < 0xF4:
			track.event(ticks, 0xF0, 3, a&127, b&127, 0xF7)
		case status < 0xF8:
			track.event(ticks, 0xFF, 0x01, 2, a, b)
		case status < 0xFC:
			track.event(ticks, 0xFF, 0x51, 3, 1+a>>1, b, a)
		default:
			track.event(ticks, 0xFF, 0x58, 4, 1+a&15, b&7, 24, 8)
		}
	}
	format := min(1, len(tracks)-1)
	data := []byte("MThd\x00\x00\x00\x06" + word(format) + word(len(tracks)) + word(division))
	for i := range tracks {
		data = append(data, tracks[i].chunk()...)
	}
	return data
}

// requireLikeGomidi compares the channel messages of each track, with their
// ticks.
func requireLikeGomidi(t testing.TB, song *Song, data []byte) {
	t.Helper()
	theirs, err := smf.ReadFrom(bytes.NewReader(data))
	require.NoError(t, err)
	require.Len(t, song.Tracks, len(theirs.Tracks))
	ours := make([][]string, len(song.Tracks))
	for _, e := range song.Events {
		ours[e.Track] = append(ours[e.Track], eventText(e))
	}
	for i, track := range theirs.Tracks {
		var want []string
		at := Tick(0)
		for _, e := range track {
			at += Tick(e.Delta)
			if m := e.Message; m[0] < 0xF0 {
				want = append(want, eventText(Event{Tick: at, Status: m[0], Data1: m[1], Data2: append(m, 0)[2]}))
			}
		}
		require.Equal(t, want, ours[i], "track %d", i)
		require.Equal(t, at, song.Tracks[i].End, "track %d", i)
	}
}
