package cli

import (
	"strings"
	"testing"
	"testing/fstest"
	"unicode/utf8"

	"github.com/stretchr/testify/require"

	"choirloft/alloc"
	"choirloft/profiles"
)

func TestHelpRules(t *testing.T) {
	got := run(t, "", "help", "rules")
	require.Equal(t, exitFine, got.status)
	require.Empty(t, got.stderr)
	require.Equal(t, got.stdout, run(t, "", "rules").stdout)
	require.Contains(t, run(t, "", "--help").stdout, "choirloft rules")
	for line := range strings.Lines(got.stdout) {
		require.LessOrEqual(t, utf8.RuneCountInString(line), 1+helpWidth, line) // with its line feed
	}
	said := strings.Join(strings.Fields(got.stdout), " ") // however lines are broken
	kinds := map[string][]string{}
	for _, k := range alloc.Rules() {
		for _, r := range k.Rules {
			kinds[k.Key] = append(kinds[k.Key], r.Name)
			require.NotEmpty(t, r.About, r.Name)
			require.Contains(t, said, " "+r.Name+" "+r.About)
		}
	}
	require.Equal(t, map[string][]string{
		"pick": alloc.PickNames(), "steal": alloc.StealNames(), "same_key": alloc.SameKeyNames(),
		"when_short": {"blocks", "thin", "wait", "elastic"}, "tails": {"known", "unknown"},
	}, kinds)
	for _, r := range alloc.Readings() {
		require.Contains(t, said, "- "+r)
	}
}

// The first rule of each kind is the one that a part has by default.
func TestFirstRulesAreTheDefaults(t *testing.T) {
	rig, faults := profiles.Read("rig.yaml", []byte("rig: R\nbanks: {K: {voices: 2}}\nparts: {p: {unison: {voices: 2}}}\n"), fstest.MapFS{})
	require.Empty(t, faults)
	p := rig.Parts[0]
	tails := map[bool]string{false: "known", true: "unknown"}[p.TailsUnknown]
	for i, has := range []string{p.Pick.String(), p.Steal.String(), p.SameKey.String(), p.Unison.Short.String(), tails} {
		require.Equal(t, alloc.Rules()[i].Rules[0].Name, has)
	}
}
