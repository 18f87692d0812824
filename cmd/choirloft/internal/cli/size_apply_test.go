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
	"choirloft/midi/corpora"
)

// TestApply: each fix that is listed is written into a copy of the rig, comments kept,
// which passes check and plays with the figures of the fix; or it says what to type.
func TestApply(t *testing.T) {
	const rig = "testdata/kiln-yard.yaml"
	song := excerpt(t, t.TempDir())
	t.Chdir(top)
	base := []string{"size", rig, song, "--voices", "12", "--unison", "pad=2", "--budget", []string{"500ms", "10s"}[corpora.Some(0, 1)]}
	listed := run(t, "", append(base, "--json")...)
	require.Equal(t, exitFine, listed.status, listed.stderr)
	var sized contract.Size
	require.NoError(t, json.Unmarshal([]byte(listed.stdout), &sized))
	require.NotEmpty(t, sized.Fixes)
	before, err := os.ReadFile(rig)
	require.NoError(t, err)
	written := 0
	for i, fix := range sized.Fixes[:min(len(sized.Fixes), corpora.Some(3, 20))] {
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
		{[]string{rig, song, "--apply", "1", "-o", there}, "it is there already, and --apply never overwrites a file"},
		{[]string{rig, song, "--apply", "99", "-o", "x.yaml"}, "--apply 99: "},
	} {
		got := run(t, "", append([]string{"size"}, c.args...)...)
		require.Equal(t, exitUsage, got.status, c.args)
		require.Contains(t, got.stderr, c.want)
	}
	require.NoFileExists(t, "x.yaml")
}

// TestApplyBuys: a purchase of banks with an interface, a supply and a row is written into
// a copy of the rig, which passes check, plays with the figures of its line, and has them as
// those of the rig as it is.
func TestApplyBuys(t *testing.T) {
	corpora.Patient(t)
	folder := t.TempDir()
	rig, song := filepath.Join(folder, "small.yaml"), fourBars(t, folder)
	const text = `# A small wall.
rig: Small
interfaces:
  main: {profile: cv16-gate16, cv: 10, gates: 10, window: 0 V to 10 V, row: 3, hp: 20, ma: {+12: 200}, gain_error: 0.2 %}
voices:
  saw: {release: 1.2 s, measured: [release]}  # with a watch
banks:
  K: {voices: 4, kind: saw, lanes: [cutoff], row: 1, hp: 90, ma: {+12: 400}}  # the first
  L: {voices: 4, kind: saw, lanes: [cutoff], row: 2, hp: 90, ma: {+12: 400}}
parts:
  bass: {channel: 2, banks: [L]}
  rest: {channel: [1, 3, 4], banks: [K, L], steal: oldest}
supplies:
  one: {+12: 1.4 A, feeds: [K, L, main]}  # 1.05 A at three quarters
`
	require.NoError(t, os.WriteFile(rig, []byte(text), 0o666))
	var sized, after contract.Size
	base := []string{"size", rig, song, "--budget", "1s", "--price", "voice 90, bank 40, interface 300, supply 100, row 50"}
	require.NoError(t, json.Unmarshal([]byte(run(t, "", append(base, "--json")...).stdout), &sized))
	at := slices.IndexFunc(sized.Fixes, func(f contract.Fix) bool { return f.Purchase != nil })
	require.GreaterOrEqual(t, at, 0)
	fix := &sized.Fixes[at]
	p := fix.Purchase
	require.Equal(t, "CV jacks", p.Needs[0].Resource)
	require.Zero(t, p.Needs[0].Free)
	require.Equal(t, []string{"mixer inputs"}, p.Unknown)
	require.Equal(t, []int{1, 1, 1}, []int{p.Interfaces.More, p.Supplies.More, p.Rows}) // 90 HP go into a new row, 20 beside main
	require.Equal(t, 1, p.Banks)
	require.InDelta(t, 4*90+40+300+100+50, *p.Price, 1e-9)
	require.Equal(t, 5*p.Banks+4*p.Banks, p.Cables, "a CV and a gate a voice, a cutoff a bank")
	copied := filepath.Join(folder, "rig2.yaml")
	got := run(t, "", append(base, "--apply", strconv.Itoa(at+1), "-o", copied)...)
	require.Equal(t, exitFine, got.status, got.stderr)
	written, err := os.ReadFile(copied)
	require.NoError(t, err)
	require.Equal(t, strings.Count(text, "#")+p.Banks+3, strings.Count(string(written), "#"), "banks, their kind, the interface and the supply are marked:\n%s", written)
	require.NotContains(t, strings.Replace(string(written), "gain_error", "", 1), "gain_error", "nobody has measured the new one")
	require.Equal(t, exitFine, run(t, "", "check", copied).status)
	require.NoError(t, json.Unmarshal([]byte(run(t, "", "size", copied, song, "--budget", "1s", "--json").stdout), &after))
	require.Equal(t, fix.After.Missing, after.Now.Missing)
	require.Equal(t, []int{fix.After.Damaged, fix.After.Dropped}, []int{after.Now.Damaged, after.Now.Dropped})
	require.Empty(t, after.NoJack)
}
