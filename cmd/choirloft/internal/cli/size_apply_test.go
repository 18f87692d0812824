package cli

import (
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/alloc/study"
	"choirloft/cmd/choirloft/internal/contract"
)

// TestApply: each fix that is listed is written into a copy of the rig, comments kept,
// which passes check and plays with the figures of the fix; or it says what to type.
func TestApply(t *testing.T) {
	const rig = "testdata/kiln-yard.yaml"
	song := excerpt(t, t.TempDir())
	t.Chdir(top)
	base := []string{"size", rig, song, "--voices", "12", "--unison", "pad=2", "--budget", []string{"500ms", "10s"}[some(0, 1)]}
	listed := run(t, "", append(base, "--json")...)
	require.Equal(t, exitFine, listed.status, listed.stderr)
	var sized contract.Size
	require.NoError(t, json.Unmarshal([]byte(listed.stdout), &sized))
	require.NotEmpty(t, sized.Fixes)
	before, err := os.ReadFile(rig)
	require.NoError(t, err)
	written := 0
	for i, fix := range sized.Fixes[:min(len(sized.Fixes), some(3, 20))] {
		copied := filepath.Join(t.TempDir(), "rig2.yaml")
		got := run(t, "", append(slices.Clone(base), "--apply", strconv.Itoa(i+1), "-o", copied)...)
		if got.status != exitFine {
			require.Equal(t, exitUsage, got.status, got.stderr)
			require.Contains(t, got.stderr, "play it with choirloft "+fix.Command+" "+rig, fix.Text)
			require.NoFileExists(t, copied)
			continue
		}
		written++
		require.Contains(t, got.stdout, "with fix "+strconv.Itoa(i+1)+": "+fix.Text+".")
		after, err := os.ReadFile(copied)
		require.NoError(t, err)
		require.Equal(t, strings.Count(string(before), "#"), strings.Count(string(after), "#"))
		require.Equal(t, exitFine, run(t, "", "check", copied).status)
		replayed := run(t, "", "replay", copied, song, "--json")
		require.Equal(t, exitFine, replayed.status, replayed.stderr)
		var r contract.Replay
		require.NoError(t, json.Unmarshal([]byte(replayed.stdout), &r))
		require.Equal(t, []int{fix.After.Damaged, fix.After.Dropped}, []int{r.Damaged, r.Endings[study.Dropped]})
		require.InDelta(t, fix.After.LostGateS, r.LostGateS, 1e-9, fix.Text)
	}
	require.Positive(t, written)
}

func TestApplyRefuses(t *testing.T) {
	const rig, song = "testdata/kiln-yard.yaml", "testdata/slow-kiln.mid"
	t.Chdir(top)
	there := filepath.Join(t.TempDir(), "rig.yaml")
	require.NoError(t, os.WriteFile(there, []byte("rig: X\n"), 0o666))
	for _, c := range []struct {
		args []string
		want string
	}{
		{[]string{rig, song, "--apply", "1"}, "--apply writes a rig, and no file is named"},
		{[]string{rig, song, "--apply", "-1", "-o", "x.yaml"}, "fixes count from 1"},
		{[]string{rig, song, "--apply", "1", "-o", "x.pdf"}, "there are .yaml and .yml"},
		{[]string{rig, song, "--apply", "1", "--json", "-o", "x.yaml"}, "a rig is YAML"},
		{[]string{rig, song, song, "--apply", "1", "-o", "x.yaml"}, "--apply is for one song"},
		{[]string{rig, "testdata", "--apply", "1", "-o", "x.yaml"}, "--apply is for one song"},
		{[]string{rig, song, "--apply", "1", "-o", there}, "it is there already, and --apply writes over nothing"},
		{[]string{rig, song, "--apply", "99", "-o", "x.yaml"}, "--apply 99: "},
	} {
		got := run(t, "", append([]string{"size"}, c.args...)...)
		require.Equal(t, exitUsage, got.status, c.args)
		require.Contains(t, got.stderr, c.want)
	}
	require.NoFileExists(t, "x.yaml")
}
