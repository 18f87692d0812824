package midi

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// FuzzRead feeds the reader anything. Whatever comes back is bounded by the
// size of the file, in order, the same without the fast path, and, written
// out again as a clean file, read the same.
func FuzzRead(f *testing.F) {
	for _, one := range loadFixtures(f, "*") {
		f.Add(one.data, 0)
	}
	f.Add(file(f, 2, 96, "00903C40", "00FF510307A120"), 2)
	f.Add(bigFile(50), 0)
	f.Fuzz(func(t *testing.T, data []byte, track int) {
		song, err := Read(data, Options{Track: track})
		again, errAgain := read(data, Options{Track: track}, true)
		require.Equal(t, err, errAgain)
		require.Equal(t, song, again)
		if err != nil {
			require.NotEmpty(t, err.Error())
			return
		}
		requireBounded(t, song, len(data))
		requireOrdered(t, song)
		for _, o := range []Order{{}, {File: true}, {Chord: ChordLowUp}, {Chord: ChordOuter}} {
			require.LessOrEqual(t, len(song.Steps(o)), len(song.Events))
		}
		song.Meter.Position(song.End)
		requireReadsTheSame(t, song)
	})
}

// requireBounded checks that what a song holds is a small multiple of its file.
func requireBounded(t *testing.T, song *Song, size int) {
	require.LessOrEqual(t, 16*cap(song.Events), 16*size, "bytes of events")
	require.LessOrEqual(t, 8*len(song.Tracks), size, "a track is eight bytes at least")
	require.LessOrEqual(t, len(song.Warnings.List), 100)
	require.LessOrEqual(t, song.Warnings.Total, size+2)
	for _, track := range song.Tracks {
		require.LessOrEqual(t, len(track.Name)+len(track.Device), 2*size)
	}
}

func requireOrdered(t *testing.T, song *Song) {
	require.True(t, slices.IsSortedFunc(song.Warnings.List, func(a, b Warning) int { return a.Offset - b.Offset }))
	events, ons := make([]int, len(song.Tracks)), 0
	for i, e := range song.Events {
		events[e.Track]++
		if isOn(e) {
			ons++
		}
		if i > 0 {
			last := song.Events[i-1]
			require.True(t, last.Tick < e.Tick || last.Tick == e.Tick && last.Track <= e.Track)
		}
		require.Less(t, e.Data1|e.Data2, uint8(128))
		require.LessOrEqual(t, e.Tick, song.Tracks[e.Track].End)
	}
	require.Equal(t, ons, song.NoteOns)
	for i, track := range song.Tracks {
		require.Equal(t, events[i], track.Events)
		require.LessOrEqual(t, track.End, song.End)
	}
	require.GreaterOrEqual(t, song.Duration(), song.Tempo.At(0))
}

// requireReadsTheSame writes the events into one track, and reads that.
func requireReadsTheSame(t *testing.T, song *Song) {
	var track trackBytes
	want := []Event{}
	at, port := Tick(0), Port(0)
	for _, e := range song.Events {
		for ; e.Tick-at >= 1<<28; at += 1<<28 - 1 {
			track.event(1<<28-1, 0xFF, 0x01, 0)
		}
		if e.Port != port {
			track.event(0, 0xFF, 0x21, 1, byte(e.Port))
		}
		data := []byte{e.Data1, e.Data2}
		track.message(int(e.Tick-at), e.Status, data[:dataBytes(e.Status)]...)
		at, port = e.Tick, e.Port
		e.Track = 0
		want = append(want, e)
	}
	// 32767 ticks a quarter: songs with a long tick may be too long otherwise.
	data := append([]byte("MThd\x00\x00\x00\x06\x00\x00\x00\x01\x7F\xFF"), track.chunk()...)
	again, err := Read(data, Options{})
	require.NoError(t, err)
	require.Empty(t, again.Warnings.List)
	require.Equal(t, want, again.Events)
}
