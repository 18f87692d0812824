package say

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// retired are words that no answer prints any more, each with what stands for it
// now in the vocabulary.
var retired = regexp.MustCompile(`(?i)\b(damaged?|superseded|struck again|re-?attack\w*|cut at birth|born cut|held cut|cut while held|cut on (the )?pedal|legato` +
	`|(own|other) tail|tail, (own|other) key|faint tails?|must (damage|lose)|at most at once|at once, at most|most at once|wanted` +
	`|tails (un)?known|class order|remed(y|ies)|ways? out|what would help|asks\b|voltage window|windows?|out of reach|zero key` +
	`|group jack|common jack|lanes?|laws?|scatter|strays?|throbs?|links?|steps? down|drill|sensitivity|fingerprint|late start)\b|^\s+Takes\b|\bTakes\b`)

// quoted is what stands in an answer as it is written in a rig or on a command
// line: flags, keys with their values, codes in brackets, places of a rig.
var quoted = regexp.MustCompile(`--[a-z-]+|\[[a-z-]+\]|\b[a-z]+_[a-z_]+\b|\b(law|link|window|tails|lanes|output|steal|pick): ?\S+|\b(interfaces|parts|banks|voices|supplies|gear|macros|wiring)\.\S+`)

// words4Test takes out what is quoted.
func words4Test(text string) string { return quoted.ReplaceAllString(text, "") }

// TestRetiredWords: no document says any of them.
func TestRetiredWords(t *testing.T) {
	for _, s := range everything(t) {
		for _, line := range strings.Split(words4Test(textOf(t, s.doc(s.value), 120)), "\n") {
			if found := retired.FindString(line); found != "" && !strings.Contains(line, "Little's law") {
				t.Errorf("%s says %q: %s", s.name, found, line)
			}
		}
	}
}

// TestRetiredWordsInGoldens: nor does any text that the command prints.
func TestRetiredWordsInGoldens(t *testing.T) {
	files, err := filepath.Glob("../cli/testdata/*.txt")
	require.NoError(t, err)
	require.GreaterOrEqual(t, len(files), 15)
	for _, file := range files {
		data, err := os.ReadFile(file)
		require.NoError(t, err)
		for _, line := range strings.Split(words4Test(string(data)), "\n") {
			if found := retired.FindString(line); found != "" && !strings.Contains(line, "Little's law") {
				t.Errorf("%s says %q: %s", filepath.Base(file), found, line)
			}
		}
	}
}

// TestRetiredWordsAreFound: the test above can fail.
func TestRetiredWordsAreFound(t *testing.T) {
	for _, line := range []string{"17 damaged (legato overlap)", "tail, other key", "law golden", "on the voltage window", "3 lanes without a jack", "  Takes  Held"} {
		require.Regexp(t, retired, words4Test(line))
	}
	for _, line := range []string{"law: uneven has no beats", "warning: interfaces.main.window: text [out-of-reach]", "--steal", "when_short: thin"} {
		require.NotRegexp(t, retired, words4Test(line))
	}
}
