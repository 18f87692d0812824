package cli

import (
	"bytes"
	"go/scanner"
	"go/token"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"choirloft/midi/corpora"

	"github.com/stretchr/testify/require"
)

var (
	// aFile is a document or a source of the repository by its name, which may
	// have an asterisk. Rigs and songs are not looked for: examples invent them.
	aFile = regexp.MustCompile(`[\w*./-]*[\w*]\.(md|go|js|mjs|txtar)\b`)
	// aFolder begins a line of a document, as in a list of what is where.
	aFolder = regexp.MustCompile(`(?m)^[\w./-]+/(?:[ \t]|$)`)
	// written is an output named in an example of a command line.
	written = regexp.MustCompile(`(-o|--output)[ =]\S+`)
	// printed is what the program itself has written, from words that are read
	// where they stand.
	printed = regexp.MustCompile(`/testdata/.*\.(svg|html|json|csv|txt)$`)
	// papers were the texts that the program was made from. Nobody else has
	// them, so what was in them is said where it is needed.
	papers = regexp.MustCompile(`\b(TRADE|DESIGN|SCENARIOS|CHECKS|HOUSE|ANSWERS|HEARING|MEASURE|PATHS|SHEETS|STYLE)\b|\bshared/|\b[Ss]cenario ?\d|\b[Ii]ssue #?\d|project's list`)
)

// TestNothingCitesWhatIsNotHere reads every text of the repository but this
// and what the program printed.
func TestNothingCitesWhatIsNotHere(t *testing.T) {
	corpora.Patient(t)
	texts := repository(t)
	require.Contains(t, texts, "README.md")
	for name, text := range texts {
		if printed.MatchString(name) || path.Base(name) == "cited_test.go" {
			continue
		}
		if found := papers.FindString(text); found != "" {
			t.Errorf("%s: found %q, a text that is not in the repository: say what it says", name, found)
		}
		for _, cited := range citedIn(name, text) {
			if !stands(texts, cited) {
				t.Errorf("%s: found %q, want a file that is in the repository", name, cited)
			}
		}
	}
}

// The ways to cite, each in a file that is there and in one that is not.
func TestCited(t *testing.T) {
	texts := map[string]string{"a/b/doc.go": "", "a/b/grammar_x.go": "", "README.md": ""}
	for _, row := range []struct{ file, text, here, gone string }{
		{"x.go", "package x // doc.go, not it.golden\nconst s = \"no.go\"", "doc.go", ""},
		{"x.go", "package x\n/* b/doc.go\nc/doc.go */", "b/doc.go", "c/doc.go"},
		{"x.go", "package x // see grammar*.go and lexer*.go.", "grammar*.go", "lexer*.go"},
		{"x.js", "run('no.js'); // README.md, NOTES.md", "README.md", "NOTES.md"},
		{"x.yaml", "file: no.md # README.md\n", "README.md", ""},
		{"x.txtar", "# doc.go\nexec it -o no.md\n# no.txtar", "doc.go", "no.txtar"},
		{"x.md", "`a/b/doc.go`, and `-o map.md` writes\na/b/  one\na/c/  two", "a/b/doc.go a/b/", "a/c/"},
	} {
		var here, gone []string
		for _, cited := range citedIn(row.file, row.text) {
			if stands(texts, cited) {
				here = append(here, cited)
			} else {
				gone = append(gone, cited)
			}
		}
		require.Equal(t, row.here, strings.Join(here, " "), row.text)
		require.Equal(t, row.gone, strings.Join(gone, " "), row.text)
	}
}

// repository returns the texts of the repository by their paths from its top.
func repository(t *testing.T) map[string]string {
	texts := map[string]string{}
	require.NoError(t, filepath.WalkDir(top, func(file string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.Name() == ".git" || d.Name() == "node_modules" {
			if d.IsDir() {
				return filepath.SkipDir
			}
			return nil
		}
		if !d.Type().IsRegular() {
			return nil
		}
		data, err := os.ReadFile(file)
		if err != nil || !utf8.Valid(data) || bytes.IndexByte(data, 0) >= 0 {
			return err
		}
		name, err := filepath.Rel(top, file)
		texts[filepath.ToSlash(name)] = string(data)
		return err
	}))
	return texts
}

// citedIn returns the files that a text names where it speaks to people: in
// its comments, or all over a document, which also names folders.
func citedIn(name, text string) []string {
	said := ""
	switch path.Ext(name) {
	case ".md":
		said = written.ReplaceAllString(text, "")
	case ".go":
		said = goComments(text)
	case ".js", ".mjs", ".css", ".ts":
		said = strings.Join(regexp.MustCompile(`(?s)//[^\n]*|/\*.*?\*/`).FindAllString(text, -1), "\n")
	case ".yaml", ".txtar", ".hex", ".mod", "":
		said = strings.Join(regexp.MustCompile(`(?m)(^|\s)#.*$`).FindAllString(text, -1), "\n")
	}
	cited := aFile.FindAllString(said, -1)
	if path.Ext(name) == ".md" {
		for _, folder := range aFolder.FindAllString(text, -1) {
			cited = append(cited, strings.TrimSpace(folder))
		}
	}
	return cited
}

func goComments(text string) string {
	var all strings.Builder
	var s scanner.Scanner
	file := token.NewFileSet().AddFile("", -1, len(text))
	s.Init(file, []byte(text), nil, scanner.ScanComments)
	for {
		switch _, kind, literal := s.Scan(); kind {
		case token.COMMENT:
			all.WriteString(literal + "\n")
		case token.EOF:
			return all.String()
		}
	}
}

// stands tells whether a file of the texts ends in the path that was cited, or
// lies in the folder that was.
func stands(texts map[string]string, cited string) bool {
	cited = strings.TrimPrefix(cited, "./") // as modules do
	parts := strings.Count(cited, "/")
	for name := range texts {
		if strings.HasSuffix(cited, "/") && strings.HasPrefix(name, cited) {
			return true
		}
		for range strings.Count(name, "/") - parts {
			_, name, _ = strings.Cut(name, "/")
		}
		if ok, err := path.Match(cited, name); ok && err == nil {
			return true
		}
	}
	return false
}
