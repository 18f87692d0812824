package mutants

import (
	"go/ast"
	"go/importer"
	"go/parser"
	"go/token"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"testing"

	"choirloft/midi/corpora"

	"github.com/stretchr/testify/require"
)

// small prints two figures, which all mutants of the table move.
const small = `package main

type counter struct{ n int }

func (c *counter) up() { c.n += 2 }

func sum(list []int, odd bool) int {
	c := &counter{}
	total := 0
	for _, n := range list {
		if n == 7 {
			break
		}
		if n > 3 && odd || n < 0 {
			continue
		}
		c.up()
		total = total*10 + n - 1
	}
	return total*100 + c.n
}

func main() { println(sum([]int{1, 2, 5, 3, -1, 7, 2}, true), sum([]int{4, 0}, false)) }
`

// What mutants of the small program print, worked by hand. Left alone it puts
// 1, 2 and 3, each less 1, together as digits: 012, then 3·2 for three; and of
// 4 and 0 it makes 3·10 − 1 = 29, then 2·2.
func TestBreaker(t *testing.T) {
	corpora.Patient(t)
	fset := token.NewFileSet()
	f, err := parser.ParseFile(fset, "small.go", small, parser.SkipObjectResolution)
	require.NoError(t, err)
	b := &broken{sources: map[string][]byte{}}
	b.check(t, fset, []*ast.File{f}, [][]byte{[]byte(small)}, importer.Default())
	dir := t.TempDir()
	write := func(name, text string) {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600))
	}
	write("go.mod", "module small\n\ngo 1.26\n")
	write("small.go", string(b.sources["small.go"]))
	write("mutant.go", "package main\n"+helpers)
	build := exec.Command("go", "build", "-o", "small", ".")
	build.Dir = dir
	out, err := build.CombinedOutput()
	require.NoError(t, err, string(out))
	says := func(id int) string {
		cmd := exec.Command(filepath.Join(dir, "small"))
		cmd.Env = append(os.Environ(), "MUTANT="+strconv.Itoa(id))
		out, _ := cmd.CombinedOutput()
		return string(out)
	}
	require.Equal(t, "1206 2904\n", says(0))
	for name, want := range map[string]string{
		"counter.up: without c.n += 2":          "1200 2900",    // nothing is counted
		"counter.up: c.n += → -=":               "1194 2896",    // 12·100 − 6, 29·100 − 4
		"counter.up: 2 → +1 in c.n += 2":        "1209 2906",    // threes
		"counter.up: 2 → -1 in c.n += 2":        "1203 2902",    // ones
		"sum: n > 3 → >=":                       "104 2904",     // 3 goes: 01, and 2·2
		"sum: n > 3 → <=":                       "402 2904",     // 5 alone stays
		"sum: n > 3 && odd → ||":                "0 -98",        // all go; of 4 and 0 the 4: −1·100 + 2
		"sum: n > 3 && odd || n < 0 → &&":       "141810 2904",  // none goes: 0, 1, 14, 142, 1418
		"sum: odd → !(odd)":                     "14208 -98",    // 5 stays; 4 goes
		"sum: n == 7 → !=":                      "0 0",          // the first one ends it
		"sum: break → continue":                 "12108 2904",   // the 2 behind the 7 counts
		"sum: continue → break":                 "104 2904",     // 5 ends it
		"sum: 0 → +1 in n < 0":                  "1206 302",     // 4 alone
		"sum: total*10 + n → -":                 "-23394 -5096", // −2, −23, −234 and −5, −51
		"sum: total*10 + n - 1 → +":             "23406 5104",   // 2, 23, 234 and 5, 51
		"sum: without c.up()":                   "1200 2900",
		"sum: without total = total*10 + n - 1": "6 4",
	} {
		id := 1 + slices.Index(b.names, "small.go "+name)
		require.Positive(t, id, "%s is none of %q", name, b.names)
		require.Equal(t, want+"\n", says(id), name)
	}
}
