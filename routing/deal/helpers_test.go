package deal

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing/plan"
)

const testdata = "../../testdata"

// planOf makes the plan of a rig that is written in a test.
func planOf(t rapid.TB, rig string, o plan.Overrides) *plan.Plan {
	t.Helper()
	r, faults := profiles.Read("test.yaml", []byte(rig), nil)
	require.Empty(t, faults)
	p, err := plan.Build(r, o)
	require.NoError(t, err)
	return p
}

// demo is the demo's plan and song.
func demo(t testing.TB, o plan.Overrides) (*plan.Plan, *midi.Song) {
	t.Helper()
	r, err := profiles.Load(filepath.Join(testdata, "kiln-yard.yaml"))
	require.NoError(t, err)
	p, err := plan.Build(r, o)
	require.NoError(t, err)
	data, err := os.ReadFile(filepath.Join(testdata, "slow-kiln.mid"))
	require.NoError(t, err)
	return p, read(t, data)
}

func read(t rapid.TB, data []byte) *midi.Song {
	t.Helper()
	song, err := midi.Read(data, midi.Options{})
	require.NoError(t, err)
	return song
}

// songOf makes a song of one track from messages, each behind its delta time;
// 500 ticks a quarter note at the default tempo, so ticks are milliseconds.
func songOf(t rapid.TB, track ...byte) *midi.Song { return divided(t, 500, track...) }

// divided is songOf with another division word.
func divided(t rapid.TB, division uint16, track ...byte) *midi.Song {
	track = append(track, 0, 0xFF, 0x2F, 0)
	head := []byte{'M', 'T', 'h', 'd', 0, 0, 0, 6, 0, 0, 0, 1, byte(division >> 8), byte(division), 'M', 'T', 'r', 'k', 0, 0, byte(len(track) >> 8), byte(len(track))}
	return read(t, append(head, track...))
}

// written deals a song and reads the one file of it again.
func written(t testing.TB, p *plan.Plan, song *midi.Song, o Options) (*Deal, *midi.Song) {
	t.Helper()
	d, err := New(p, song, o)
	require.NoError(t, err)
	files := d.Files(Whole)
	require.Len(t, files, 1)
	data, err := files[0].Score.Bytes()
	require.NoError(t, err)
	back := read(t, data)
	require.Zero(t, back.Warnings.Total, "%v", back.Warnings.List)
	return d, back
}

// says lists the messages of a track in words: tick, kind, data.
func says(song *midi.Song, track string) (said []string) {
	for _, e := range song.Events {
		if song.Tracks[e.Track].Name != track {
			continue
		}
		switch e.Kind() {
		case midi.NoteOn:
			said = append(said, fmt.Sprintf("%d on %d v%d", e.Tick, e.Data1, e.Data2))
		case midi.NoteOff:
			said = append(said, fmt.Sprintf("%d off %d", e.Tick, e.Data1))
		case midi.PitchBend:
			said = append(said, fmt.Sprintf("%d bend %d", e.Tick, int(e.Data2)<<7|int(e.Data1)))
		case midi.ControlChange:
			said = append(said, fmt.Sprintf("%d cc %d %d", e.Tick, e.Data1, e.Data2))
		case midi.ChannelPressure:
			said = append(said, fmt.Sprintf("%d pressure %d", e.Tick, e.Data1))
		}
	}
	return said
}
