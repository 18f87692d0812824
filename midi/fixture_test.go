package midi

import (
	"encoding/hex"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// A fixture is a file of testdata/midi: bytes in hex, with a comment a field
// behind #, and what is to come of them:
//
//	> a warning, as Warning.String has it, in order
//	! the error
//	= an event, as eventText has it, in order
type fixture struct {
	name     string
	data     []byte
	warnings []string
	fault    string
	events   []string
}

func loadFixture(t testing.TB, path string) fixture {
	t.Helper()
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	f := fixture{name: strings.TrimSuffix(filepath.Base(path), ".hex")}
	for line := range strings.Lines(string(text)) {
		line = strings.TrimSpace(line)
		mark, rest, _ := strings.Cut(line, " ")
		switch mark {
		case ">":
			f.warnings = append(f.warnings, rest)
		case "!":
			f.fault = rest
		case "=":
			f.events = append(f.events, rest)
		default:
			digits, _, _ := strings.Cut(line, "#")
			bytes, err := hex.DecodeString(strings.ReplaceAll(digits, " ", ""))
			require.NoError(t, err, "%s: %s", path, line)
			f.data = append(f.data, bytes...)
		}
	}
	return f
}

func loadFixtures(t testing.TB, pattern string) []fixture {
	t.Helper()
	paths, err := filepath.Glob(filepath.Join("..", "testdata", "midi", pattern+".hex"))
	require.NoError(t, err)
	require.NotEmpty(t, paths, pattern)
	var all []fixture
	for _, path := range paths {
		all = append(all, loadFixture(t, path))
	}
	return all
}

// eventText writes an event as fixtures do: its tick, status and data bytes.
func eventText(e Event) string {
	return fmt.Sprintf("%d %02X %02X %02X", e.Tick, e.Status, e.Data1, e.Data2)
}

func eventTexts(events []Event) []string {
	var texts []string
	for _, e := range events {
		texts = append(texts, eventText(e))
	}
	return texts
}

func warningTexts(w Warnings) []string {
	var texts []string
	for _, one := range w.List {
		texts = append(texts, one.String())
	}
	return texts
}

// file puts a MIDI file together: a header chunk and a chunk a track, each
// given in hex without its end of track.
func file(t testing.TB, format, division int, tracks ...string) []byte {
	t.Helper()
	data := fmt.Appendf(nil, "MThd\x00\x00\x00\x06%s%s%s", word(format), word(len(tracks)), word(division))
	for _, track := range tracks {
		body, err := hex.DecodeString(strings.ReplaceAll(track+"00FF2F00", " ", ""))
		require.NoError(t, err)
		data = fmt.Appendf(data, "MTrk%s%s%s", word(len(body)>>16), word(len(body)), body)
	}
	return data
}

func word(n int) string { return string([]byte{byte(n >> 8), byte(n)}) }

func mustRead(t testing.TB, data []byte) *Song {
	t.Helper()
	song, err := Read(data, Options{})
	require.NoError(t, err)
	return song
}
