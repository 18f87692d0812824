package mutants

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// lab holds a test binary of each net, with all mutants in it, and their tests,
// quick ones first.
type lab struct {
	dir   string
	tests []trial
	mutex sync.Mutex
	fell  map[string][]string // by function the tests that noticed its mutants last
}

// trial is a test that was run without a mutant.
type trial struct {
	folder, name string
	took         time.Duration // of a processor
	meets        map[int]bool  // the mutants that would have given it another value
}

// build compiles the tests, and runs each once without a mutant.
func build(t *testing.T, all *broken) *lab {
	t.Helper()
	l := &lab{dir: t.TempDir(), fell: map[string][]string{}}
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
	for _, n := range nets {
		cmd := exec.Command("go", "test", "-c", "-overlay", list, "-o", l.binary(n.folder), "./"+n.folder)
		cmd.Dir = root
		out, err := cmd.CombinedOutput()
		require.NoError(t, err, string(out))
		out, err = exec.Command(l.binary(n.folder), "-test.list", n.run).Output()
		require.NoError(t, err)
		for _, name := range strings.Fields(string(out)) {
			if !strings.HasPrefix(name, "Benchmark") {
				l.tests = append(l.tests, l.meet(t, n.folder, name))
			}
		}
	}
	slices.SortStableFunc(l.tests, func(a, b trial) int { return int(a.took - b.took) })
	return l
}

// meet runs a test without a mutant, and takes down what it would have met.
func (l *lab) meet(t *testing.T, folder, name string) trial {
	t.Helper()
	met := filepath.Join(l.dir, "met")
	require.NoError(t, os.WriteFile(met, nil, 0o600))
	cmd := l.command(context.Background(), folder, []string{name}, -1, 0)
	cmd.Env = append(cmd.Env, "MUTANTS_MET="+met)
	out, err := cmd.CombinedOutput()
	require.NoError(t, err, "without a mutant: %s %s", name, out)
	one := trial{folder: folder, name: name, took: spent(cmd), meets: map[int]bool{}}
	text, err := os.ReadFile(met)
	require.NoError(t, err)
	for _, field := range strings.Fields(string(text)) {
		id, err := strconv.Atoi(field)
		require.NoError(t, err)
		one.meets[id] = true
	}
	t.Logf("%5.2f s %5d met by %s %s", one.took.Seconds(), len(one.meets), folder, name)
	return one
}

func spent(cmd *exec.Cmd) time.Duration {
	return cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime()
}

func (l *lab) binary(folder string) string {
	return filepath.Join(l.dir, strings.ReplaceAll(folder, "/", "-")+".test")
}

// command runs tests with a mutant, for so many seconds of a processor, with no
// limit if 0. What is drawn is the same each time.
func (l *lab) command(ctx context.Context, folder string, tests []string, id, seconds int) *exec.Cmd {
	limits := "ulimit -v 4000000; " // a mutant that never ends may want all memory there is
	if seconds > 0 {
		limits += fmt.Sprintf("ulimit -t %d; ", seconds)
	}
	args := []string{"-c", limits + `exec "$0" "$@"`, l.binary(folder), "-test.failfast",
		"-test.v", "-test.timeout", "0", "-test.run", "^(" + strings.Join(tests, "|") + ")$"}
	if strings.HasPrefix(folder, "alloc") { // those that draw songs
		args = append(args, "-rapid.seed=1", "-rapid.nofailfile", "-rapid.shrinktime=0s")
	}
	cmd := exec.CommandContext(ctx, "sh", args...)
	cmd.Dir = filepath.Join(root, folder)
	cmd.Env = append(os.Environ(), "MUTANT="+strconv.Itoa(id), "GOMAXPROCS=1")
	return cmd
}

// survivors returns the mutants that no test notices. Each is tried to its end,
// as they were drawn, so that a run that is broken off has tried a fair sample
// too. As many are tried at a time as -cpu says.
func (l *lab) survivors(t *testing.T, chosen []int, names []string) []int {
	var mutex sync.Mutex
	var lived []int
	tried := 0
	next := make(chan int)
	var group sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		group.Go(func() {
			for id := range next {
				function, _, _ := strings.Cut(names[id-1], ":")
				by, noticed := l.noticed(id, function)
				mutex.Lock()
				if tried++; !noticed {
					lived, by = append(lived, id), "nothing"
				}
				t.Logf("%d tried, %d left: %s noticed by %s", tried, len(lived), names[id-1], by)
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

const (
	quick = 50 * time.Millisecond // what a test may take that is run together with others
	long  = time.Second           // what it may take to go before those that are quicker
)

// noticed returns a test that notices a mutant, if any does. Those go first
// that noticed others of that function, then quick ones.
func (l *lab) noticed(id int, function string) (by string, ok bool) {
	var first, alone [][]trial
	together := map[string][]trial{}
	for _, one := range l.tests {
		switch {
		case !one.meets[id]:
		case one.took <= long && l.knows(function, one.name):
			first = append(first, []trial{one})
		case one.took > quick:
			alone = append(alone, []trial{one})
		default:
			together[one.folder] = append(together[one.folder], one)
		}
	}
	for _, n := range nets {
		if list := together[n.folder]; list != nil {
			first = append(first, list)
		}
	}
	for _, list := range append(first, alone...) {
		if name, ok := l.notices(list, id); ok {
			l.learn(function, name)
			return name, true
		}
	}
	return "", false
}

func (l *lab) knows(function, test string) bool {
	l.mutex.Lock()
	defer l.mutex.Unlock()
	return slices.Contains(l.fell[function], test)
}

// learn remembers the last three tests that noticed a mutant of a function.
func (l *lab) learn(function, test string) {
	l.mutex.Lock()
	defer l.mutex.Unlock()
	list := append(slices.DeleteFunc(l.fell[function], func(name string) bool { return name == test }), test)
	l.fell[function] = list[max(0, len(list)-3):]
}

// begun is a line about a test that begins.
var begun = regexp.MustCompile(`(?m)^=== RUN   (\w+)$`)

// notices returns which of some tests of one folder fails, if any does. They have five
// times the time that they took without a mutant.
func (l *lab) notices(list []trial, id int) (test string, ok bool) {
	var took time.Duration
	var names []string
	for _, one := range list {
		took, names = took+one.took, append(names, one.name)
	}
	// One that waits for ever takes no processor time.
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute+50*took)
	defer cancel()
	cmd := l.command(ctx, list[0].folder, names, id, 2+int(5*took.Seconds()))
	out, err := cmd.CombinedOutput()
	if runs := begun.FindAllSubmatch(out, -1); err != nil && runs != nil {
		test = string(runs[len(runs)-1][1])
	}
	return test, err != nil
}
