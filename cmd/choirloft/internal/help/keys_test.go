package help

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// TestResultsNameKeys: beside a printed word stands the one that JSON and CSV have for it.
func TestResultsNameKeys(t *testing.T) {
	text := results()
	for _, key := range []string{"superseded", "tail_cut_other_key", "tail_cut_own_key", "overlap_only", "clamped", "unmapped", "orphan"} {
		require.Contains(t, text, ` In JSON and CSV: "`+key+`".`)
	}
	require.Contains(t, text, "or its mono part went on to another key.")
	require.NotContains(t, text, `In JSON and CSV: "complete".`)
}
