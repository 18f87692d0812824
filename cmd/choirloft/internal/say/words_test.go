package say

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/doc"
)

// headsAllowed are the heads of all terms with what they mean, the verbs of fmt as
// patterns.
func headsAllowed() map[*regexp.Regexp]*Term {
	verbs := strings.NewReplacer("%d", `\d+`, "%s", `.+`)
	all := map[*regexp.Regexp]*Term{}
	for _, kind := range Vocabulary() {
		for i := range kind.Terms {
			t := &kind.Terms[i]
			all[regexp.MustCompile("^"+verbs.Replace(regexp.QuoteMeta(t.head()))+"$")] = t
		}
	}
	return all
}

// ofVocabulary tells whether a column is that of a term: with its head, after a
// colon where several stand under one, its meaning, and below the table its legend.
//
// A legend is said once in a document.
func ofVocabulary(allowed map[*regexp.Regexp]*Term, said map[string]bool, c *doc.Column) bool {
	_, head, common := strings.Cut(c.Head, ": ")
	if !common {
		head = c.Head
	}
	for form, t := range allowed {
		fits := form.MatchString(head) && c.Meaning == t.Explained()
		if fits && (common || t.Plain && c.Legend == "" || !t.Plain && (c.Legend == t.Means || c.Legend == "" && said[t.Means])) {
			said[t.Means] = true
			return true
		}
	}
	return false
}

// withoutLegends ends the name of a document that leaves its legends to --all.
const withoutLegends = ", the screen"

// TestHeadsAreTerms: every head of every table of every command's document is a
// word of the vocabulary, with its meaning. Only what marks a row has no head.
func TestHeadsAreTerms(t *testing.T) {
	allowed, tables := headsAllowed(), 0
	for _, s := range everything(t) {
		said := map[string]bool{}
		if strings.HasSuffix(s.name, withoutLegends) { // --all says them
			for _, t := range allowed {
				said[t.Means] = true
			}
		}
		for _, b := range s.doc(s.value).Blocks {
			table, ok := b.(doc.Table)
			if !ok {
				continue
			}
			tables++
			for i := range table.Columns {
				if c := &table.Columns[i]; c.Head != "" {
					require.True(t, ofVocabulary(allowed, said, c), "%s: %q: %q", s.name, c.Head, c.Meaning)
				}
			}
		}
	}
	require.Greater(t, tables, 50)
	require.False(t, ofVocabulary(allowed, map[string]bool{}, new(doc.Number("Takes"))))
	require.False(t, ofVocabulary(allowed, map[string]bool{}, new(doc.Number("Voices"))), "a literal has no meaning")
}

// TestNoHeadIsALiteral: columns are made of terms, in words.go alone; those that no
// document above has too.
func TestNoHeadIsALiteral(t *testing.T) {
	files, err := filepath.Glob("*.go")
	require.NoError(t, err)
	for _, file := range files {
		if file == "words.go" || strings.HasSuffix(file, "_test.go") {
			continue
		}
		text, err := os.ReadFile(file)
		require.NoError(t, err)
		tree, err := parser.ParseFile(token.NewFileSet(), file, text, 0)
		require.NoError(t, err)
		ast.Inspect(tree, func(n ast.Node) bool {
			if s, ok := n.(*ast.SelectorExpr); ok {
				if x, ok := s.X.(*ast.Ident); ok && x.Name == "doc" {
					require.NotContains(t, []string{"Number", "Words"}, s.Sel.Name, file)
				}
			}
			return true
		})
	}
}

// TestUnitsAreSaid: a unit follows the meaning, unless that has it as a word.
func TestUnitsAreSaid(t *testing.T) {
	require.Equal(t, "key and pedal time that did not sound, in s.", term("lost").Explained())
	require.Equal(t, "largest step between notes, in semitones.", term("jump").Explained())
	require.Equal(t, "its file.", term("song").Explained())
}

// TestTermsAreWhole: each has a name of its own and a meaning of one sentence.
func TestTermsAreWhole(t *testing.T) {
	seen := map[string]bool{}
	for _, kind := range Vocabulary() {
		for _, term := range kind.Terms {
			require.False(t, seen[term.Name], term.Name)
			seen[term.Name] = true
			require.True(t, strings.HasSuffix(term.Explained(), "."), "%s: %s", term.Name, term.Explained())
			require.Equal(t, 1, strings.Count(term.Explained(), ". ")+1, term.Name)
		}
	}
}
