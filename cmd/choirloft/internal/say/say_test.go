package say

import (
	"encoding/json"
	"fmt"
	"regexp"
	"runtime/debug"
	"slices"
	"strings"
	"testing"

	"github.com/jedib0t/go-pretty/v6/text"
	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/midi/corpora"
)

// TestMain gives the tests the memory that the program has.
func TestMain(m *testing.M) {
	debug.SetGCPercent(400)
	m.Run()
}

// said is a value of the contract and the document that says it.
type said struct {
	name  string
	value any
	again func(data []byte) (any, error) // decodes such a value
	doc   func(value any) *doc.Doc
}

// of returns a value with the function that says it.
func of[T any](name string, value *T, say func(*T) *doc.Doc) said {
	return said{name, value,
		func(data []byte) (any, error) { v := new(T); return v, json.Unmarshal(data, v) },
		func(v any) *doc.Doc { return say(v.(*T)) }}
}

// everything is at least one value of every command, worked out once. Tests read them
// and leave them as they are, but for the words that Fill sets.
func everything(t *testing.T) []said {
	if kept == nil {
		kept = slices.Concat(repatches(t), checks(t), channels(t), tunes(t), lineChecks(t), replays(t), written4(t), sizes(t), estimates(t),
			charts(t), failures(t), lives(), listens(t), takes(t), tooks(t))
	}
	return kept
}

var kept []said

// TestRoundTrip: what was encoded and decoded encodes to the same bytes, and
// is said in the same words.
func TestRoundTrip(t *testing.T) {
	for _, s := range everything(t) {
		t.Run(s.name, func(t *testing.T) {
			words := textOf(t, s.doc(s.value), 80)
			Fill(s.value)
			require.Equal(t, words, textOf(t, s.doc(s.value), 80), "the words read a sentence of the JSON")
			data, err := contract.JSON(s.value)
			require.NoError(t, err)
			again, err := s.again(data)
			require.NoError(t, err)
			require.Equal(t, words, textOf(t, s.doc(again), 80))
			Fill(again)
			twice, err := contract.JSON(again)
			require.NoError(t, err)
			require.Equal(t, string(data), string(twice))
		})
	}
}

func init() { corpora.Checks("25", "100") }

// TestWidths: no line is longer than it may be, at any width a terminal is
// given; without CHOIRLOFT_CORPORA at four.
func TestWidths(t *testing.T) {
	for _, s := range everything(t) {
		d := s.doc(s.value)
		for width := 60; width <= 120; width += corpora.Some(20, 1) {
			for _, line := range strings.Split(textOf(t, d, width), "\n") {
				require.LessOrEqual(t, text.StringWidthWithoutEscSequences(line), width, "%s at %d: %s", s.name, width, line)
			}
		}
	}
}

// TestHeadings: every format has the same headings in the same order.
func TestHeadings(t *testing.T) {
	for _, s := range everything(t) {
		d := s.doc(s.value)
		want := d.Headings()
		var markdown, html strings.Builder
		require.NoError(t, doc.Markdown(&markdown, d))
		require.NoError(t, doc.HTML(&html, d, doc.HTMLOptions{}))
		for format, found := range map[string][][]string{
			"Markdown": regexp.MustCompile(`(?m)^## (.*)$`).FindAllStringSubmatch(markdown.String(), -1),
			"HTML":     regexp.MustCompile(`<h2>(.*?)</h2>`).FindAllStringSubmatch(html.String(), -1),
		} {
			var got []string
			for _, f := range found {
				got = append(got, strings.ReplaceAll(f[1], `\`, ""))
			}
			require.Equal(t, want, got, "%s as %s", s.name, format)
		}
		lines := strings.Split(textOf(t, d, 120), "\n")
		for _, h := range want {
			require.Contains(t, lines, h, s.name)
		}
	}
}

func textOf(t *testing.T, d *doc.Doc, width int) string {
	t.Helper()
	var b strings.Builder
	require.NoError(t, doc.Text(&b, d, doc.TextOptions{Width: width}))
	return b.String()
}

func demo(file string) string { return fmt.Sprintf("../../../../testdata/%s", file) }
