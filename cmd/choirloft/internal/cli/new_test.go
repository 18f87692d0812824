package cli

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"choirloft/midi/corpora"

	"github.com/stretchr/testify/require"
)

// TestMapsComeBack: what map writes as CSV, new --patch makes a rig of that has the
// same map. A table carries no parts, so what is told of them is left out, and with
// them the key at 0 V of voices on which none plays; and the plan has a code of its
// own.
func TestMapsComeBack(t *testing.T) {
	corpora.Patient(t)
	rigs, err := filepath.Glob(filepath.Join(top, "testdata/rigs/*.yaml"))
	require.NoError(t, err)
	more, err := filepath.Glob(filepath.Join(top, "testdata/*.yaml"))
	require.NoError(t, err)
	for _, rig := range append(rigs, more...) {
		dir := t.TempDir()
		first, made, second := filepath.Join(dir, "a.csv"), filepath.Join(dir, "b.yaml"), filepath.Join(dir, "c.csv")
		require.NotEqual(t, exitUsage, run(t, "", "map", rig, "-o", first).status, rig)
		got := run(t, "", "new", "--patch", first, "-o", made)
		require.Equal(t, exitFine, got.status, "%s: %s", rig, got.stderr)
		require.Equal(t, "Written: "+made+"\n", got.stdout)
		require.NotEqual(t, exitUsage, run(t, "", "map", made, "-o", second).status, rig)
		want, have := facts(t, first), facts(t, second)
		for i := range want { // no key at 0 V stands at voices on which no part plays
			if zero := slices.Index(want[0], "zero_key"); want[i][zero] == "" && i < len(have) {
				have[i][zero] = ""
			}
		}
		require.Equal(t, want, have, rig)
	}
}

// facts are the rows of a map without what a table cannot carry.
func facts(t *testing.T, path string) [][]string {
	t.Helper()
	f, err := os.Open(path)
	require.NoError(t, err)
	defer f.Close()
	records, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	column := func(name string) int { return slices.Index(records[0], name) }
	for _, r := range records[1:] {
		for _, name := range []string{"part", "stack", "stack_position", "of", "detune_cents", "pan", "fingerprint"} {
			r[column(name)] = ""
		}
	}
	return records
}

// TestTablesSayWhatTheyLeaveOut: the rig is written, each cell that could not be read
// is told, and the status says that there are some.
func TestTablesSayWhatTheyLeaveOut(t *testing.T) {
	dir := scratch(t, map[string]string{
		"wall.csv": "My wall;;\nBank;Voice;CV;Gate;Colour\nK;1;2;1;red\nK;2;1;left;red\n",
		"no.csv":   "a,b\n1,2\n",
	})
	got := runIn(t, dir, "", "new", "--patch", "wall.csv", "-o", "wall.yaml")
	require.Equal(t, exitFound, got.status)
	require.Equal(t, "Written: wall.yaml\n", got.stdout)
	require.Equal(t, `choirloft: wall.csv: read as
    column A, "Bank": bank
    column B, "Voice": voice
    column C, "CV": pitch jack
    column D, "Gate": gate jack
    column E, "Colour": not read
    No gate jack for K2 in the table, so free ones are taken.
choirloft: wall.csv: row 4, column D (Gate): found "left", want a jack such as 5, cv 5 or main.gate 5
`, got.stderr)
	rig, err := os.ReadFile("wall.yaml")
	require.NoError(t, err)
	require.Contains(t, string(rig), "rig: From wall\n")
	require.True(t, strings.HasSuffix(string(rig), "pins:\n  K1.pitch: main.cv 2\n  K2.pitch: main.cv 1\n"), "%s", rig)
	require.Equal(t, exitFine, run(t, "", "check", "wall.yaml").status)

	got = run(t, "", "new", "--patch", "no.csv", "-o", "no.yaml")
	require.Equal(t, exitUsage, got.status)
	require.Contains(t, got.stderr, "no.csv: no row of heads")
	require.NoFileExists(t, "no.yaml")
	for _, args := range [][]string{{"--song", "x.mid"}, {"--banks", "2"}, {"--schema"}} {
		got = run(t, "", append([]string{"new", "--patch", "wall.csv"}, args...)...)
		require.Equal(t, exitUsage, got.status)
		require.Contains(t, got.stderr, "--patch has its own banks and voices, and no song")
	}
}
