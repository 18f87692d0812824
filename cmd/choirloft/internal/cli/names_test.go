package cli

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"choirloft/midi/corpora"

	"github.com/stretchr/testify/require"
)

// A terminal obeys ESC [ (ECMA-48, 5.4): what the name of a file says is shown,
// never obeyed. A line feed in it begins no line.
func TestNamesThatATerminalWouldObey(t *testing.T) {
	corpora.Patient(t)
	if filepath.Separator != '/' {
		t.Skip("the names of files have no control characters here")
	}
	dir := t.TempDir()
	copied := func(from, to string) string {
		data, err := os.ReadFile(from)
		require.NoError(t, err)
		to = filepath.Join(dir, to)
		require.NoError(t, os.WriteFile(to, data, 0o666))
		return to
	}
	song, rig := copied(excerpt(t, dir), "a\x1b[31m\u202eb\nc\xff.mid"), copied(filepath.Join(top, demoRig), "r\x1b[2J.yaml")
	readings := copied(filepath.Join(top, "testdata/kiln-yard-readings.csv"), "t\x1b[2J.csv")
	bad := copied(filepath.Join(top, "testdata/rigs/bad/alias.yaml"), "bad\x1b[2J.yaml")
	out := filepath.Join(dir, "o\x1b[2J")
	for _, args := range [][]string{
		{"replay", rig, song}, {"replay", rig, song, song}, {"size", rig, song, song}, {"check", rig, "--song", song}, {"check", bad}, {"check", song},
		{"map", rig, "--without", "M1", "--song", song}, {"write", rig, song, "-o", out + ".mid"}, {"listen", rig, song, "-o", out + ".wav", "--to", "1"},
		{"map", rig, "--unison", "2", "--listen", out + ".wav"}, {"write", rig, "--line-check", "-o", out + ".mid"}, {"write", rig, "--take", "-o", out + ".mid"},
		{"tune", rig, readings}, {"new", "--song", song}, {"new", "--song", song, "--list"}, {"replay", rig, song + "x"}, {"replay", rig, rig},
		{"live", rig, "--in", "-", "--out", "/dev/null", "--out", "/dev/null", "--log", out + ".mid"}, {"live", rig, "--in", out, "--out", out, "--out", "/dev/null"},
		{"check", rig + "x"}, {"\x1bc"}, {"check", rig, "--\x1bc"}, {"check", rig, "-o", out + ".xyz"}, {"map", rig, "--without", "\x1bc"},
		{"replay", rig, song, "--pick", "\x1bc"}, {"replay", rig, song, "-o", out + ".svg"}, {"replay", rig, song, "-o", out + ".html"},
	} {
		got := run(t, "", args...)
		said := got.stdout + got.stderr
		for _, ending := range []string{".svg", ".html"} {
			data, _ := os.ReadFile(out + ending)
			said += string(data)
		}
		require.NotEmpty(t, said)
		require.NotContains(t, said, "\x1b", args)
		require.NotContains(t, said, "\u202e", args)
		require.NotContains(t, strings.ReplaceAll(said, " ", ""), "\nc\xff", args)
	}
	require.Contains(t, run(t, "", "check", rig, "--song", song).stdout, `(a\x1b[31m\u202eb\nc\xff.mid)`)
	require.Contains(t, run(t, "", "replay", rig, song, "--json").stdout, `a\u001b[31m`, "JSON has an escape of its own")
}
