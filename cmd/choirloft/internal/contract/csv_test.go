package contract

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"
)

// A table does nothing to a terminal: what it would obey in the name of a file is written as Go escapes it.
func TestTablesAreText(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, CSV(&b, [][]string{{"file", "part"}, {"a\x1b[31m\nb.mid", "päd"}}))
	require.Equal(t, "file,part\r\na\\x1b[31m\\nb.mid,päd\r\n", b.String())
}
