package say

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/prose"
)

// retiredIn returns what a text says with words that are no longer used, line by
// line, so that tables count too.
func retiredIn(text string) (all []string) {
	for _, line := range strings.Split(text, "\n") {
		all = append(all, prose.Retired(strings.TrimSpace(line))...)
	}
	return all
}

// TestNoRetiredWordIsPrinted: no document says any, in its tables neither.
func TestNoRetiredWordIsPrinted(t *testing.T) {
	for _, s := range everything(t) {
		require.Empty(t, retiredIn(textOf(t, s.doc(s.value), 120)), s.name)
	}
}

// TestNoRetiredWordInGoldens: nor does any text that the command printed.
func TestNoRetiredWordInGoldens(t *testing.T) {
	files, err := filepath.Glob("../cli/testdata/*.txt")
	require.NoError(t, err)
	require.GreaterOrEqual(t, len(files), 15)
	for _, file := range files {
		data, err := os.ReadFile(file)
		require.NoError(t, err)
		require.Empty(t, retiredIn(string(data)), file)
	}
}

// TestRetiredWordsAreFound: the tests above can fail.
func TestRetiredWordsAreFound(t *testing.T) {
	for _, line := range []string{"17 damaged (legato overlap)", "  9.1  tail, other key  -25.0 dB", "detune law golden", "3 lanes without a jack"} {
		require.NotEmpty(t, retiredIn(line), line)
	}
	for _, line := range []string{"law: uneven has no beats", "warning: interfaces.main.window: text [out-of-reach]", "--steal", "when_short: thin"} {
		require.Empty(t, retiredIn(line), line)
	}
}
