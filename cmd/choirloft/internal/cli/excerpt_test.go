package cli

import (
	"bytes"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"choirloft/midi/corpora"

	"github.com/stretchr/testify/require"
	"gitlab.com/gomidi/midi/v2/smf"
)

// excerpt writes bars 1, 2, 9 and 10 of the demo, in which each of its four parts
// plays, into a folder and returns the file. With CHOIRLOFT_CORPORA it is the whole song. It
// is for tests that ask how something is said, not how much of what is lost.
func excerpt(t *testing.T, folder string) string {
	t.Helper()
	if corpora.Some(0, 1) == 0 {
		return fourBars(t, folder)
	}
	return keepSong(t, folder, demoBytes(t))
}

// fourBars is the same with CHOIRLOFT_CORPORA too.
func fourBars(t *testing.T, folder string) string {
	t.Helper()
	return keepSong(t, folder, barsOf(t, demoBytes(t), 1, 2, 9, 10))
}

func demoBytes(t *testing.T) []byte {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(top, demoSong))
	require.NoError(t, err)
	return data
}

// keepSong writes a song under the name of the demo's.
func keepSong(t *testing.T, folder string, data []byte) string {
	t.Helper()
	file := filepath.Join(folder, filepath.Base(demoSong))
	require.NoError(t, os.WriteFile(file, data, 0o666))
	return file
}

// barsOf leaves of a song of four quarters a bar the notes that begin in some bars.
func barsOf(t *testing.T, data []byte, bars ...int64) []byte {
	t.Helper()
	file, err := smf.ReadFrom(bytes.NewReader(data))
	require.NoError(t, err)
	bar := 4 * int64(file.TimeFormat.(smf.MetricTicks))
	for i, track := range file.Tracks {
		var kept smf.Track
		var at, last int64
		stay := map[uint8][]bool{} // the notes of a key that have no off yet, the oldest first
		for _, e := range track {
			at += int64(e.Delta)
			keep := true
			var channel, key, velocity uint8
			switch {
			case e.Message.GetNoteStart(&channel, &key, &velocity):
				keep = slices.Contains(bars, at/bar+1)
				stay[key] = append(stay[key], keep)
			case e.Message.GetNoteEnd(&channel, &key):
				keep, stay[key] = stay[key][0], stay[key][1:]
			}
			if keep {
				kept.Add(uint32(at-last), e.Message)
				last = at
			}
		}
		file.Tracks[i] = kept
	}
	var b bytes.Buffer
	_, err = file.WriteTo(&b)
	require.NoError(t, err)
	return b.Bytes()
}
