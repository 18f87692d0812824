package midi

import (
	"os"
	"os/exec"
	"path/filepath"
	"runtime/debug"
	"strconv"
	"strings"
	"testing"

	"choirloft/midi/corpora"

	"github.com/stretchr/testify/require"
)

// TestMain gives the tests the memory that the program has.
func TestMain(m *testing.M) {
	debug.SetGCPercent(400)
	m.Run()
}

// The number of note-ons in the songs of two open data sets, in all and
// without channel 10, as counted with python3-mido 1.2.10 and, for the two
// songs it refuses for a malformed key signature, gomidi v2.3.24.
func TestCorpora(t *testing.T) {
	for _, set := range []struct {
		corpora.Corpus
		notes, pitched   int
		refusedByPython3 int
	}{
		{corpora.Simutrans, 257_127, 175_074, 2},
		{corpora.OpenMSX, 80_364, 50_683, 0},
	} {
		t.Run(filepath.Base(set.Folder), func(t *testing.T) {
			notes, pitched := 0, 0
			paths := set.Songs(t)
			counts := map[string]int{}
			for _, path := range paths {
				data, err := os.ReadFile(path)
				require.NoError(t, err)
				song, err := Read(data, Options{})
				require.NoError(t, err, path)
				requireLikeGomidi(t, song, data)
				notes += song.NoteOns
				counts[path] = song.NoteOns
				for _, e := range song.Events {
					if isOn(e) && e.Channel() != 9 {
						pitched++
					}
				}
				require.Empty(t, song.Warnings.List, path)
			}
			require.Equal(t, set.notes, notes)
			require.Equal(t, set.pitched, pitched)
			requireLikeMido(t, counts, set.refusedByPython3)
		})
	}
}

// countNotes prints path and note-ons of each file, tab between them; -1 for
// one that mido refuses.
const countNotes = `
import sys, mido
for path in sys.argv[1:]:
    try:
        n = sum(m.type == 'note_on' and m.velocity > 0 for t in mido.MidiFile(path).tracks for m in t)
    except Exception:
        n = -1
    print(path, n, sep='\t')
`

// requireLikeMido compares note-ons with python3-mido, if that is installed.
func requireLikeMido(t *testing.T, counts map[string]int, refused int) {
	t.Helper()
	python := ""
	for _, name := range []string{"python3", "/usr/bin/python3"} {
		if exec.Command(name, "-c", "import mido").Run() == nil {
			python = name
		}
	}
	if python == "" {
		t.Log("python3-mido is not installed: compared with gomidi only")
		return
	}
	args := []string{"-c", countNotes}
	for path := range counts {
		args = append(args, path)
	}
	out, err := exec.Command(python, args...).Output()
	require.NoError(t, err)
	compared := 0
	for line := range strings.Lines(string(out)) {
		path, text, _ := strings.Cut(strings.TrimSpace(line), "\t")
		n, err := strconv.Atoi(text)
		require.NoError(t, err)
		if n >= 0 {
			require.Equal(t, n, counts[path], path)
			compared++
		}
	}
	require.Equal(t, len(counts)-refused, compared)
}
