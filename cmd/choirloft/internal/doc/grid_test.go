package doc

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func textOf(t *testing.T, table Table, width int) string {
	t.Helper()
	var b strings.Builder
	require.NoError(t, Text(&b, &Doc{Blocks: Blocks{table}}, TextOptions{Width: width}))
	return b.String()
}

// TestFolds: a column that folds does so before others are left out, and no
// further than it may. The table is 2+20+2+4+2+5 wide, and 2+8+2+4+2+5 = 23 folded.
func TestFolds(t *testing.T) {
	table := func(words Column) Table {
		table := Table{Columns: []Column{words, Number("Cost"), Number("Hours").Ranked(1)}}
		table.Row("", "aaaa bbbb cccc dddd!", "1", "2")
		return table
	}
	require.Equal(t, "  What                  Cost  Hours\n  aaaa bbbb cccc dddd!     1      2\n", textOf(t, table(Words("What").Folds(8)), 35))
	require.Contains(t, textOf(t, table(Words("What").Folds(8)), 23), "Hours")
	require.NotContains(t, textOf(t, table(Words("What").Folds(8)), 22), "Cost  Hours")
	require.NotContains(t, textOf(t, table(Words("What")), 34), "Cost  Hours", "it is kept whole")
	require.Contains(t, textOf(t, table(Words("What")), 34), "\nLeft out at this width: Hours.\n", "and it is said")
	require.NotContains(t, textOf(t, table(Words("What").Folds(8)), 35), "Left out")
}

// TestLegends: a legend stands below as long as its column does, after the head, or
// after what is before the colon of that.
func TestLegends(t *testing.T) {
	table := Table{Columns: []Column{Number("Voices"), Number("Above").Means("too few."), Number("A: damaged").Ranked(1).Means("oldest."), Number("A: tails").Ranked(2)}}
	table.Row("", "1", "2", "3", "4")
	require.Contains(t, textOf(t, table, 80), "\nAbove: too few. A: oldest.\n")
	require.Contains(t, textOf(t, table, 18), "\nAbove: too few.\n")
	require.Contains(t, strings.ReplaceAll(textOf(t, table, 18), "\n    ", " "), "Left out at this width: A: damaged (A: oldest), A: tails.")
}

// TestALongRowChangesNoOther: where widths are fixed, what is too long pushes its
// own line only.
func TestALongRowChangesNoOther(t *testing.T) {
	table := Table{Columns: []Column{Number("No.").Wide(3), Words("Name").Wide(4), Words("Part").Wide(4)}}
	table.Row("On main", "1", "K1", "pad")
	lines := func() []string {
		var b strings.Builder
		require.NoError(t, Text(&b, &Doc{Blocks: Blocks{table}}, TextOptions{}))
		return strings.Split(strings.TrimSuffix(b.String(), "\n"), "\n")
	}
	before := lines()
	require.Equal(t, []string{"  No.  Name  Part", "  On main:", "    1  K1    pad"}, before)
	table.Row("On main", "1000", "Longname1", "♯")
	require.Equal(t, append(before, "  1000  Longname1  ♯"), lines())
}
