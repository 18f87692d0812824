package doc

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestALongRowChangesNoOther: where widths are fixed, what is too long pushes its
// own line only.
func TestALongRowChangesNoOther(t *testing.T) {
	table := Table{Columns: []Column{Number("No.").Wide(3), Words("Name").Wide(4), Words("Part").Wide(4)}}
	table.Row("On main", "1", "A1", "pad")
	lines := func() []string {
		var b strings.Builder
		require.NoError(t, Text(&b, &Doc{Blocks: Blocks{table}}, TextOptions{}))
		return strings.Split(strings.TrimSuffix(b.String(), "\n"), "\n")
	}
	before := lines()
	require.Equal(t, []string{"  No.  Name  Part", "  On main:", "    1  A1    pad"}, before)
	table.Row("On main", "1000", "Longname1", "♯")
	require.Equal(t, append(before, "  1000  Longname1  ♯"), lines())
}
