package cli

import (
	"context"
	"encoding/hex"
	"errors"
	"flag"
	"os"
	"path/filepath"
	"runtime/debug"
	"slices"
	"strings"
	"testing"

	"choirloft/midi/corpora"

	"github.com/rogpeppe/go-internal/testscript"
)

// inTop runs the tests in the top folder and with the memory that the program
// has. Those that run side by side mostly wait for processes and clocks, so there
// are more at once than processors, unless -parallel says otherwise.
type inTop struct{ *testing.M }

func (m inTop) Run() int {
	debug.SetGCPercent(400) // as the program does
	if err := errors.Join(os.Chdir(top), flag.Set("test.parallel", "4")); err != nil {
		panic(err)
	}
	return m.M.Run()
}

func TestMain(m *testing.M) {
	os.Setenv("LC_ALL", "C.UTF-8")
	flag.Set("test.parallel", "6") // most of those that may run beside others wait; -parallel says otherwise
	testscript.Main(inTop{m}, map[string]func(){
		"choirloft": func() { os.Exit(Run(context.Background(), os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) },
	})
}

// TestScripts runs testdata/script. A script finds the demo in $DEMO, writes MIDI files with
// unhex, and stops at [quick] stop where it takes long.
func TestScripts(t *testing.T) {
	demo := filepath.Join(top, "testdata")
	testscript.Run(t, testscript.Params{
		Dir: filepath.Join(demo, "script"),
		Setup: func(env *testscript.Env) error {
			env.Setenv("DEMO", demo)
			env.Setenv("LC_ALL", "C.UTF-8")
			env.Setenv("COLUMNS", "120") // sentences that a script looks for stand in a line
			return nil
		},
		Cmds:                map[string]func(*testscript.TestScript, bool, []string){"unhex": unhex, "rows": rows},
		Condition:           func(name string) (bool, error) { return name == "quick" && corpora.Quick(), nil },
		RequireExplicitExec: true,
	})
}

// unhex FROM TO writes the bytes that FROM has in hexadecimal; # begins a
// comment.
func unhex(ts *testscript.TestScript, _ bool, args []string) {
	if len(args) != 2 {
		ts.Fatalf("usage: unhex FROM TO")
	}
	var digits strings.Builder
	for line := range strings.Lines(ts.ReadFile(args[0])) {
		line, _, _ = strings.Cut(line, "#")
		digits.WriteString(strings.Join(strings.Fields(line), ""))
	}
	data, err := hex.DecodeString(digits.String())
	ts.Check(err)
	ts.Check(os.WriteFile(ts.MkAbs(args[1]), data, 0o666))
}

// rows OLD NEW checks that every row of a table in OLD (they begin with two
// spaces, and have two between cells) stands in NEW.
func rows(ts *testscript.TestScript, _ bool, args []string) {
	if len(args) != 2 {
		ts.Fatalf("usage: rows OLD NEW")
	}
	after, found := strings.Split(ts.ReadFile(args[1]), "\n"), 0
	for line := range strings.Lines(ts.ReadFile(args[0])) {
		line = strings.TrimSuffix(line, "\n")
		if !strings.HasPrefix(line, "  ") || !strings.Contains(strings.TrimSpace(line), "  ") {
			continue
		}
		if !slices.Contains(after, line) {
			ts.Fatalf("no row %q in %s", line, args[1])
		}
		found++
	}
	if found == 0 {
		ts.Fatalf("no row in %s", args[0])
	}
}
