package mutants

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
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
	args := []string{"-c", limits + `exec nice -n 15 "$0" "$@"`, l.binary(folder), "-test.failfast",
		"-test.timeout", "0", "-test.run", "^(" + strings.Join(tests, "|") + ")$"}
	if strings.HasPrefix(folder, "alloc") { // those that draw songs
		args = append(args, "-rapid.seed=1", "-rapid.nofailfile", "-rapid.shrinktime=0s")
	}
	cmd := exec.CommandContext(ctx, "sh", args...)
	cmd.Dir = filepath.Join(root, folder)
	cmd.Env = append(os.Environ(), "MUTANT="+strconv.Itoa(id), "GOMAXPROCS=1")
	return cmd
}

// survivors returns the mutants that no test notices, two tried at a time.
func (l *lab) survivors(t *testing.T, chosen []int, names []string) []int {
	var mutex sync.Mutex
	var lived []int
	done := 0
	next := make(chan int)
	var group sync.WaitGroup
	for range 2 {
		group.Go(func() {
			for id := range next {
				by := l.noticed(id)
				mutex.Lock()
				done++
				if by == "" {
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

// quick is what a test may take that is run together with others.
const quick = 100 * time.Millisecond

// noticed returns tests of which one notices a mutant, and none if none does.
func (l *lab) noticed(id int) string {
	for _, n := range nets {
		var names []string
		var took time.Duration
		for _, one := range l.tests {
			if one.folder == n.folder && one.took <= quick && one.meets[id] {
				names, took = append(names, one.name), took+one.took
			}
		}
		if len(names) > 0 && l.notices(n.folder, names, id, took) {
			return strings.Join(names, "|")
		}
	}
	for _, one := range l.tests {
		if one.took > quick && one.meets[id] && l.notices(one.folder, []string{one.name}, id, one.took) {
			return one.name
		}
	}
	return ""
}

// notices tells whether tests fail, which have five times the time that they
// took without a mutant.
func (l *lab) notices(folder string, tests []string, id int, took time.Duration) bool {
	// One that waits for ever takes no processor time.
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute+50*took)
	defer cancel()
	cmd := l.command(ctx, folder, tests, id, 3+int(5*took.Seconds()))
	cmd.Stdout, cmd.Stderr = nil, nil
	return cmd.Run() != nil
}
