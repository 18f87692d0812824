package text

import (
	"encoding/csv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/profiles"
	"choirloft/routing/plan"
)

// TestALongRowChangesNoOther: what is too long pushes its own line only.
func TestALongRowChangesNoOther(t *testing.T) {
	table := contract.Table{Columns: []contract.TableColumn{{Head: "No.", Width: 3, Right: true}, {Head: "Name", Width: 4}, {Head: "Part", Width: 4}},
		Groups: []contract.Group{{Title: "On main", Rows: [][]string{{"1", "A1", "pad"}}}}}
	before := fixed(table)
	require.Equal(t, []string{"  No.  Name  Part", "  On main:", "    1  A1    pad"}, before)
	table.Groups[0].Rows = append(table.Groups[0].Rows, []string{"1000", "Longname1", "♯"})
	require.Equal(t, append(before, "  1000  Longname1  ♯"), fixed(table))
}

// TestViewsKeepToTheirFormats with a name that has signs of CSV and Markdown.
func TestViewsKeepToTheirFormats(t *testing.T) {
	rig, faults := profiles.Read("rig.yaml", []byte("rig: 'One, \"two\" | *three*'\ninterfaces: {main: {profile: cv16-gate16}}\nbanks: {A: {voices: 2}}\n"), nil)
	require.Empty(t, faults)
	p, err := plan.Build(rig, plan.Overrides{})
	require.NoError(t, err)
	m := contract.NewMap(p)

	var out strings.Builder
	require.NoError(t, MapCSV(&out, m, Options{}))
	require.Equal(t, strings.Count(out.String(), "\n"), strings.Count(out.String(), "\r\n"), "RFC 4180 ends lines so")
	records, err := csv.NewReader(strings.NewReader(out.String())).ReadAll() // as many fields in each
	require.NoError(t, err)
	require.Equal(t, m.Records(), records)
	require.Equal(t, `One, "two" | *three*`, records[1][1])

	out.Reset()
	require.NoError(t, MapMarkdown(&out, m, Options{}))
	require.Contains(t, out.String(), `One, "two" \| \*three\* \[`+m.Fingerprint+`\]`)
	require.Contains(t, out.String(), "\n| 1 | A1 | in | cv 1 |")
}

// TestUnisonsFitTheScreen: tables of any unison keep to 100 characters, also
// where positions go from columns (6) to rows (7).
func TestUnisonsFitTheScreen(t *testing.T) {
	rig, faults := profiles.Read("rig.yaml", []byte("rig: U\ninterfaces: {main: {profile: cv64-gate64}}\n"+
		"banks: {A: {voices: 64}}\nparts: {p: {unison: {voices: 2, law: golden}}}\n"), nil)
	require.Empty(t, faults)
	for unison, lines := range map[string]int{"4": 2 + 1 + 3 + 1, "6": 2 + 1 + 3 + 1, "7": 7 + 1 + 3 + 1, "64": 64 + 1 + 3 + 1} {
		p, err := plan.Build(rig, plan.Overrides{Unison: []string{unison}})
		require.NoError(t, err)
		u := contract.NewMap(p).Unisons[0]
		rows := append(fixed(u.PositionTable()), fixed(u.BeatTable())...)
		require.Len(t, rows, lines)
		for _, row := range rows {
			require.LessOrEqual(t, len([]rune(row)), 100, row)
		}
	}
}
