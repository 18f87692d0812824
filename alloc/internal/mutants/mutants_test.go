package mutants

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// mutated are the packages that are broken, by their folders.
var mutated = []string{"alloc", "alloc/study"}

// stage is a run of tests that a mutant must pass to go on to the next.
type stage struct {
	folder    string
	run, skip string // patterns of go test
}

// stages go from the tests that cost least for what they notice to the
// comparisons with the slow reference that take longest.
var stages = []stage{
	{"alloc/study", "Readings|Scenarios|OwnKey|Unison|Elastic|Reserved|Mono|PerNote|Clamp|Gap|ByHand|Plans|Edits|Lanes|Weights|Demo|Odd|Shortages|Depths|From", "Corpora"},
	{"alloc", "", "SmallSongs|LedgerLike|Dense|UnisonLike"},
	{"alloc", "Dense|UnisonLike", ""},
	{"alloc/study", "", "Corpora|SecondOpinion"},
	{"alloc/study", "SecondOpinion", ""},
	{"alloc", "LedgerLike", ""},
	{"alloc", "SmallSongs", ""},
	{"cmd/choirloft/internal/cli", "Golden|Screen", ""},
	{"routing/whatif", "", ""},
}

// survivable is the share of mutants that may live on without a reason.
const survivable = 0.02

// No more of the mutants live on than may, but for those that DEVELOPERS.md
// says cannot be noticed.
func TestMutants(t *testing.T) {
	all := load(t, mutated...)
	reasons := listed(t)
	for name := range reasons {
		require.Contains(t, all.names, name, "DEVELOPERS.md lists a mutant that there is not")
	}
	chosen := choose(t, all.names, os.Getenv("CHOIRLOFT_MUTANTS"))
	if len(chosen) == 0 {
		return // what is listed exists: no more without the variable
	}
	l := build(t, all)
	t.Logf("%d of %d mutants", len(chosen), len(all.names))
	var excused, survived []string
	for _, id := range l.survivors(t, chosen, all.names) {
		if name := all.names[id-1]; reasons[name] != "" {
			excused = append(excused, name)
		} else {
			survived = append(survived, name)
		}
	}
	t.Logf("of %d mutants %d were noticed, %d cannot be, %d survived:\n%s", len(chosen),
		len(chosen)-len(excused)-len(survived), len(excused), len(survived), strings.Join(survived, "\n"))
	require.LessOrEqual(t, float64(len(survived)), survivable*float64(len(chosen)), "mutants that survived")
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

// lab holds a test binary of each package, with all mutants in it, and how
// long each stage may take.
type lab struct {
	dir      string
	patience []time.Duration
}

// build compiles the tests, and runs them once without a mutant.
func build(t *testing.T, all *broken) *lab {
	t.Helper()
	l := &lab{dir: t.TempDir()}
	replace := map[string]string{}
	for path, src := range all.sources {
		full, err := filepath.Abs(path)
		require.NoError(t, err)
		replace[full] = filepath.Join(l.dir, fmt.Sprintf("%d.go", len(replace)))
		require.NoError(t, os.WriteFile(replace[full], src, 0o600))
	}
	overlay, err := json.Marshal(map[string]any{"Replace": replace})
	require.NoError(t, err)
	list := filepath.Join(l.dir, "overlay.json")
	require.NoError(t, os.WriteFile(list, overlay, 0o600))
	for _, s := range stages {
		cmd := exec.Command("go", "test", "-c", "-overlay", list, "-o", l.binary(s), "./"+s.folder)
		cmd.Dir = root
		out, err := cmd.CombinedOutput()
		require.NoError(t, err, string(out))
	}
	for i, s := range stages {
		began := time.Now()
		out, err := l.try(s, 0, 10*time.Minute)
		require.NoError(t, err, "without a mutant: %s", out)
		l.patience = append(l.patience, 10*time.Second+5*time.Since(began))
		t.Logf("stage %d: %.1f s", i, time.Since(began).Seconds())
	}
	return l
}

func (l *lab) binary(s stage) string {
	return filepath.Join(l.dir, strings.ReplaceAll(s.folder, "/", "-")+".test")
}

// try runs a stage with a mutant. What is drawn is the same each time.
func (l *lab) try(s stage, id int, patience time.Duration) ([]byte, error) {
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	// A mutant that never ends may want all memory there is.
	args := []string{"-c", `ulimit -v 4000000; exec "$0" "$@"`, l.binary(s), "-test.failfast", "-test.run", s.run, "-test.skip", s.skip}
	if strings.HasPrefix(s.folder, "alloc") { // those that draw songs
		args = append(args, "-rapid.seed=1", "-rapid.nofailfile", "-rapid.shrinktime=0s")
	}
	cmd := exec.CommandContext(ctx, "sh", args...)
	cmd.Dir = filepath.Join(root, s.folder)
	cmd.Env = append(os.Environ(), "MUTANT="+strconv.Itoa(id), "GOMAXPROCS=1")
	var out bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &out
	err := cmd.Run()
	return out.Bytes(), err
}

// survivors returns the mutants that no stage notices, two tried at a time.
func (l *lab) survivors(t *testing.T, chosen []int, names []string) []int {
	var mutex sync.Mutex
	var lived []int
	done := 0
	next := make(chan int)
	var group sync.WaitGroup
	for range 2 {
		group.Go(func() {
			for id := range next {
				at := l.noticed(id)
				mutex.Lock()
				done++
				if at < 0 {
					lived = append(lived, id)
					t.Logf("%d of %d: survived: %s", done, len(chosen), names[id-1])
				}
				mutex.Unlock()
			}
		})
	}
	for _, id := range chosen {
		next <- id
	}
	close(next)
	group.Wait()
	slices.Sort(lived)
	return lived
}

// noticed returns the stage at which a mutant falls; −1 if none.
func (l *lab) noticed(id int) int {
	for i, s := range stages {
		if _, err := l.try(s, id, l.patience[i]); err != nil {
			return i
		}
	}
	return -1
}
