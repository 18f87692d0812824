package mutants

import (
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"choirloft/midi/corpora"

	"github.com/stretchr/testify/require"
)

// mutated are the packages that are broken, by their folders.
var mutated = []string{"alloc", "alloc/study"}

// nets are the packages whose tests are to notice, with a pattern of their names.
// Those of the command that hold no figures are left out.
var nets = []struct{ folder, run string }{
	{"alloc", "."}, {"alloc/study", "."}, {"cmd/choirloft/internal/cli", "Golden"}, {"routing/whatif", "."},
}

// survivable is the share of mutants that may live on without a reason.
const survivable = 0.02

// No more of the mutants live on than may, but for those that DEVELOPERS.md
// says cannot be noticed.
func TestMutants(t *testing.T) {
	if os.Getenv("CHOIRLOFT_MUTANTS") == "" {
		corpora.Patient(t)
	}
	all := load(t, mutated...)
	reasons := listed(t)
	for name := range reasons {
		require.True(t, slices.Contains(all.names, name), "DEVELOPERS.md lists a mutant that there is not: %s", name)
	}
	chosen := choose(t, all.names, os.Getenv("CHOIRLOFT_MUTANTS"))
	if len(chosen) == 0 {
		return // what is listed exists: no more without the variable
	}
	var excused, survived []string
	if drawn(os.Getenv("CHOIRLOFT_MUTANTS")) { // those that are asked for by name are tried, so that a reason can be doubted
		chosen = slices.DeleteFunc(chosen, func(id int) bool {
			name := all.names[id-1]
			if reasons[name] != "" {
				excused = append(excused, name)
			}
			return reasons[name] != ""
		})
	}
	l := build(t, all)
	t.Logf("%d of %d mutants, and %d that are listed; %d tests", len(chosen), len(all.names), len(excused), len(l.tests))
	whole := len(chosen) + len(excused)
	for _, id := range l.survivors(t, chosen, all.names) {
		if name := all.names[id-1]; reasons[name] != "" {
			excused = append(excused, name)
		} else {
			survived = append(survived, name)
		}
	}
	t.Logf("of %d mutants %d were noticed, %d cannot be, %d survived:\n%s", whole,
		whole-len(excused)-len(survived), len(excused), len(survived), strings.Join(survived, "\n"))
	require.LessOrEqual(t, float64(len(survived)), survivable*float64(whole), "mutants that survived")
}

// drawn tells whether the variable asks for a number of mutants, not for names.
func drawn(asked string) bool {
	count, _, _ := strings.Cut(asked, "@")
	_, err := strconv.Atoi(count)
	return err == nil
}

// choose returns the numbers of the mutants that the variable asks for.
func choose(t *testing.T, names []string, asked string) []int {
	t.Helper()
	if asked == "" {
		return nil
	}
	var chosen []int
	count, seed, _ := strings.Cut(asked, "@")
	if n, err := strconv.Atoi(count); err == nil {
		s, err := strconv.ParseUint("0"+seed, 10, 64)
		require.NoError(t, err, "the seed of CHOIRLOFT_MUTANTS")
		for _, i := range rand.New(rand.NewPCG(max(s, 1), 0)).Perm(len(names))[:min(n, len(names))] {
			chosen = append(chosen, i+1)
		}
		return chosen
	}
	parts := strings.Split(asked, ";")
	for i, name := range names {
		named := func(part string) bool { return strings.Contains(name, part) }
		if asked == "all" || slices.ContainsFunc(parts, named) {
			chosen = append(chosen, i+1)
		}
	}
	require.NotEmpty(t, chosen, "CHOIRLOFT_MUTANTS is a number, a number@seed, all, or parts of names of mutants, parted by semicolons")
	return chosen
}

var row = regexp.MustCompile("^- `(alloc/.*)`: (.+)$")

// listed returns the mutants of DEVELOPERS.md and why each cannot be noticed.
func listed(t *testing.T) map[string]string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(root, "DEVELOPERS.md"))
	require.NoError(t, err)
	_, section, ok := strings.Cut(string(text), "## Mutants\n")
	require.True(t, ok, "DEVELOPERS.md has no section Mutants")
	section, _, _ = strings.Cut(section, "\n## ")
	reasons := map[string]string{}
	for line := range strings.Lines(section) {
		if m := row.FindStringSubmatch(strings.TrimSpace(line)); m != nil {
			reasons[m[1]] = m[2]
		}
	}
	return reasons
}
