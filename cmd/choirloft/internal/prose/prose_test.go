package prose

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestWords: counted by hand.
func TestWords(t *testing.T) {
	for text, want := range map[string]int{
		"One two three.": 3,
		"It is 1.5 s - or `choirloft size --all` long.": 7,
		"Picking rules: lowest, oldest, newest":         3,
		"a wide, flat hall":                             4,
		"Bars short: 8 (20), 9 (23) and 12 (24).":       3,
		"Bars short: 8 (20) and 9 (23).":                7,
		"pads, bass, arps and more leads":               4,
		"say \"chords of 4, 2 a second\" to it":         4,
	} {
		require.Equal(t, want, Words(text), text)
	}
}

// TestLong: a sentence of 26 words is found wherever it stands, one of 25 is not.
func TestLong(t *testing.T) {
	words := strings.Repeat("word ", 24)
	for _, around := range []string{"%", "First. % Last.", "- an item\n- %\n", "## Head\n%\n", "  name      %\n", "a paragraph\n\n%"} {
		require.Len(t, Long(strings.Replace(around, "%", words+"and that.", 1)), 1, around)
		require.Empty(t, Long(strings.Replace(around, "%", words+"end.", 1)), around)
	}
	require.Empty(t, Long("```sh\n"+words+"and that.\n```\n| "+words+" and that |"))
	require.Empty(t, Long("as in\n\n    "+words+"and that.\n    "+words+"and that.\n\n\t"+words+"and that."))
	require.Len(t, Long("as in\n\n    code\n"+words+"and that."), 1)
}

// TestRetired: a word is refused in a sentence, and is a name where a name stands.
func TestRetired(t *testing.T) {
	for _, text := range []string{"3 notes damaged.", "Its window ends.", "- the law is uneven", "Zero key 36.", "a 5-pin link is busy"} {
		require.Len(t, Retired(text), 1, text)
	}
	for _, text := range []string{"`law: even`", "law: uneven beats less", "the window_low key", "use --drill", "it is called out-of-reach", "write to lanes.svg", "say \"window\"", "unbounded"} {
		require.Empty(t, Retired(text), text)
	}
}
