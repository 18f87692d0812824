package routing

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestWords(t *testing.T) {
	facts := []Fact{Number("late", 12.34, "ms"), Number("off", -3.21, "cents"), Number("notes", 2, ""), Number("one", 1, ""), Key("low", 36, "C2"),
		Named("voices", "K1", "K2"), Named("bank", "K"), Named("many", strings.Fields("a b c d e f g h i j")...),
		Named("modules", "x", "y").Belongs("main"), Named("modules", "z").Belongs("aux"), Number("spare", 3, "").Belongs("aux")}
	for _, c := range []struct{ wording, want string }{
		{"no fact", "no fact"},
		{"<late> <late.1> <late.1u> <late%2>", "12.34 12.3 12.3 ms 12"},
		{"<off+1> <off-1> <notes+0>", "-3.2 3.2 +2"},
		{"<notes note>, <one note>, <notes?it/each>, <one?it/each>", "2 notes, 1 note, each, it"},
		{"<low@> (<low>)", "C2 (36)"},
		{"<voices>; <voices;>; <voices#>; <voices?is/are>; <bank?is/are>", "K1, K2; K1; K2; 2; are; is"},
		{"<voices bank>, <bank bank>", "banks K1, K2, bank K"},
		{"<many>", "a, b, c, d, e, f, g, h and 2 more"},
		{"<many5>; <many5 bank>", "a, b, c, d, e and 5 more; banks a, b, c, d, e and 5 more"},
		{"<many*>; <many…>; <voices…>", "a, b, c, d, e, f, g, h, i, j; a, b, c, d, e, f, g, h, …; K1, K2"},
		{"a[ b <none>| c <late!>| d]", "a c "},
		{"a[ b <none>]", "a"},
		{"{{; |<of>: <modules*>[ (<spare> more)]}}", "main: x, y; aux: z (3 more)"},
		{"[{{; |<of>: <none>}}|none]", "none"},
		{"unison: {voices: <notes>}", "unison: {voices: 2}"},
	} {
		text, ok := words(c.wording, facts)
		require.True(t, ok, c.wording)
		require.Equal(t, c.want, text, c.wording)
	}
	for _, wording := range []string{"<none>", "<none!>", "<modules>", "{{; |<none>}}"} {
		_, ok := words(wording, facts)
		require.False(t, ok, wording)
	}
	_, ok := words("{{; |<of>}}", facts[:3])
	require.False(t, ok, "nothing belongs to anything")
	require.Panics(t, func() { words("<late", facts) })
}

// What is written of a name is not read as a wording.
func TestNamesAreNoWordings(t *testing.T) {
	text, ok := words("[<name>|b] {{, |<of>}}", []Fact{Named("name", "<[a|b]>{{"), Number("x", 1, "").Belongs("]|<y>")})
	require.True(t, ok)
	require.Equal(t, "<[a|b]>{{ ]|<y>", text)
}

var placeholder = regexp.MustCompile(`<([a-z_]+)[^>]*>`)

// Every number in a sentence is one of its facts: the table itself has none, but in
// what things are called, "key at 0 V" and "buffered 4".
func TestWordingsHaveNoNumbers(t *testing.T) {
	called := strings.NewReplacer("key at 0 V", "", "buffered 4", "")
	for code, w := range wordings {
		for _, wording := range []string{w.text, w.hint} {
			require.NotRegexp(t, `[0-9]`, called.Replace(placeholder.ReplaceAllString(wording, "")), code)
		}
	}
}

// A fact that no finding has would leave words out and be missed by nobody.
func TestWordingsNameFactsThatThereAre(t *testing.T) {
	made := regexp.MustCompile(`(?:Named|Number|Key|keyAt|voices)\("([a-z_]+)"`)
	there := map[string]bool{}
	for _, pattern := range []string{"*.go", "*/*.go"} {
		paths, err := filepath.Glob(pattern)
		require.NoError(t, err)
		for _, path := range paths {
			text, err := os.ReadFile(path)
			require.NoError(t, err)
			for _, m := range made.FindAllStringSubmatch(string(text), -1) {
				if !strings.HasSuffix(path, "_test.go") {
					there[m[1]] = true
				}
			}
		}
	}
	for code, w := range wordings {
		for _, m := range placeholder.FindAllStringSubmatch(w.text+w.hint, -1) {
			require.True(t, there[m[1]], "%s: <%s>", code, m[1])
		}
	}
	for name := range factWords {
		require.True(t, there[name], name)
	}
}
