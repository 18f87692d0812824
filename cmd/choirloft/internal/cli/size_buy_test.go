package cli

import (
	"encoding/json"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/midi/corpora"
)

// TestAllNamesWhatIsRefused: with --all each kind of purchase that the rack cannot hold stands in
// the list once, with its reason by a sum: where something else is offered, and where nothing is.
func TestAllNamesWhatIsRefused(t *testing.T) {
	corpora.Patient(t)
	folder := t.TempDir()
	song := fourBars(t, folder)
	const walls = `rig: Small
interfaces: {main: {profile: cv32-gate32}}
banks:
  K: {voices: 2DRAWK}
  L: {voices: 1DRAWL}
  M: {voices: 3DRAWM}
parts: {all: {}}
`
	draws := func(k, l, m string) string {
		return strings.NewReplacer("DRAWK", k, "DRAWL", l, "DRAWM", m).Replace(walls)
	}
	for name, c := range map[string]struct {
		text    string
		offered bool
		lines   []string
	}{
		"nothing is offered": {draws("", "", "") + "gear: {mixer: {inputs: 3}}\n", false, []string{
			"No room for 1 bank of 2 like K: short of mixer inputs (0 free, 1 needed).",
			"No room for 1 bank of 1 like L: short of mixer inputs (0 free, 1 needed).",
			"No room for 1 bank of 3 like M: short of mixer inputs (0 free, 1 needed).",
		}},
		// a supply of 1 A bears 750 mA at three quarters
		"one is offered": {draws(", ma: {+12: 300}", ", ma: {+12: 800}", ", ma: {+12: 900}") + "supplies: {one: {+12: 1 A, feeds: [K]}}\n", true, []string{
			"No room for 1 bank of 1 like L: short of current (750 mA free, 800 mA needed).",
			"No room for 1 bank of 3 like M: short of current (750 mA free, 900 mA needed).",
		}},
	} {
		rig := filepath.Join(folder, "small.yaml")
		require.NoError(t, os.WriteFile(rig, []byte(c.text), 0o666))
		var sized contract.Size
		args := []string{"size", rig, song, "--budget", "1s", "--all"}
		readJSON(t, &sized, args...)
		require.Equal(t, c.offered, slices.ContainsFunc(sized.Fixes, func(f contract.Fix) bool { return f.Purchase != nil }), name)
		require.Len(t, sized.Buying.Refused, len(c.lines), name)
		got := run(t, "", args...)
		require.Equal(t, exitFine, got.status, got.stderr)
		printed := strings.Join(strings.Fields(got.stdout), " ")
		for _, line := range c.lines {
			require.Equal(t, 1, strings.Count(printed, line), "%s: %s\n%s", name, line, got.stdout)
		}
	}
}

// sharedRig has two banks with one knob by a multiple that has no output left, pitches of L on one
// jack, and a release that was measured.
const sharedRig = `rig: Shared
interfaces: {main: {profile: cv16-gate16}}
voices:
  saw: {release: 1.2 s, measured: [release]}
banks:
  L: {voices: 2, kind: saw, lanes: [cutoff]}
  K: {voices: 1, kind: saw, lanes: [cutoff]}
parts:
  bass: {channel: 2, banks: [K]}
  rest: {channel: [1, 3, 4], banks: [L]}
wiring:
  - {from: main.cv 16, through: passive 3, to: [L.cutoff, K.cutoff]}
  - {from: main.cv 15, through: passive 2, to: L.pitch}
`

// TestPurchaseOfSharedJacksIsTold: multiples have their price, and what of a purchase is left to
// wire is said when it is written, and stands in the file.
func TestPurchaseOfSharedJacksIsTold(t *testing.T) {
	corpora.Patient(t)
	folder := t.TempDir()
	rig, song := filepath.Join(folder, "shared.yaml"), fourBars(t, folder)
	require.NoError(t, os.WriteFile(rig, []byte(sharedRig), 0o666))
	base := []string{"size", rig, song, "--budget", "2s", "--price", "bank 1000, multiple 7"}
	var sized contract.Size
	readJSON(t, &sized, base...)
	at := slices.IndexFunc(sized.Fixes, func(f contract.Fix) bool { return f.Purchase != nil && f.Purchase.Like == "L" })
	require.GreaterOrEqual(t, at, 0)
	p := sized.Fixes[at].Purchase
	multiples := 0
	for _, m := range p.Multiples {
		multiples += m.Count
	}
	require.Positive(t, multiples)
	require.InDelta(t, 1000*p.Banks+7*multiples, *p.Price, 1e-9)
	var pitches []string
	for _, name := range p.Names {
		pitches = append(pitches, name+".pitch")
	}
	require.Equal(t, pitches, p.ByHand)
	copied := filepath.Join(folder, "rig2.yaml")
	got := run(t, "", append(base, "--apply", strconv.Itoa(at+1), "-o", copied)...)
	require.Equal(t, exitFine, got.status, got.stderr)
	require.Regexp(t, `(?m)^Wire by hand, as bank L is: `+regexp.QuoteMeta(pitches[0]), got.stdout)
	written, err := os.ReadFile(copied)
	require.NoError(t, err)
	for _, name := range pitches {
		require.Contains(t, string(written), "; wire by hand, as bank L is: "+name+"\n")
	}
}

// TestReleaseBeforeWhatIsBought: a release that was measured is not that of banks that are bought,
// of which nobody has measured one: the JSON has both sources, and one where nothing is bought.
func TestReleaseBeforeWhatIsBought(t *testing.T) {
	folder := t.TempDir()
	song := fourBars(t, folder)
	measured := contract.Measured
	for _, c := range []struct {
		rig  string
		more []string
		is   contract.Source
		was  *contract.Source
	}{
		{sharedRig, nil, measured, nil},
		{sharedRig, []string{"--buy", "1xK"}, contract.Assumed, &measured},
		{strings.Replace(sharedRig, ", measured: [release]", "", 1), []string{"--buy", "1xK"}, contract.FromRig, nil},
	} {
		rig := filepath.Join(folder, "shared.yaml")
		require.NoError(t, os.WriteFile(rig, []byte(c.rig), 0o666))
		for command, more := range map[string][]string{"size": {"--budget", "100ms"}, "replay": nil} {
			got := run(t, "", slices.Concat([]string{command, rig, song, "--json"}, c.more, more)...)
			require.Equal(t, exitFine, got.status, got.stderr)
			var answer struct {
				RestsOn contract.Values `json:"rests_on"`
			}
			require.NoError(t, json.Unmarshal([]byte(got.stdout), &answer))
			require.Equal(t, c.is, answer.RestsOn.ReleaseSource, "%s %v", command, c.more)
			require.Equal(t, c.was, answer.RestsOn.ReleaseBefore, "%s %v", command, c.more)
		}
	}
}
