package cli

import (
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/wire"
	"choirloft/midi/corpora"
)

// children are the guards that a process has started (proc(5)).
func children(t *testing.T, pid int) (all []int) {
	tasks, err := filepath.Glob(fmt.Sprintf("/proc/%d/task/*/children", pid))
	require.NoError(t, err)
	for _, task := range tasks {
		data, _ := os.ReadFile(task)
		for _, word := range strings.Fields(string(data)) {
			child, err := strconv.Atoi(word)
			require.NoError(t, err)
			// package os starts and ends a child of its own once, to see whether the
			// system has pidfds: that one is no guard
			call, _ := os.ReadFile(fmt.Sprintf("/proc/%d/cmdline", child))
			if strings.Contains(string(call), wire.GuardCall) {
				all = append(all, child)
			}
		}
	}
	return all
}

// TestLiveGuardIsKilled: another guard takes the place of one that was killed, and
// does its work; where none stays, the way out is said.
func TestLiveGuardIsKilled(t *testing.T) {
	t.Parallel()
	dir, rig := smallRig(t)
	to, e, _, _ := endOf(t, "fifo", dir)
	p := startProcess(t, nil, rig, "--out", to, "--quiet")
	p.keys.Write([]byte{0x90, 60, 100})
	soon(t, func() bool { return e.up() == 1 }, "a note")
	time.Sleep(leastGuard + 100*time.Millisecond)
	first := children(t, p.Process.Pid)
	require.Len(t, first, 1)
	require.NoError(t, syscall.Kill(first[0], syscall.SIGKILL))
	soon(t, func() bool { return strings.Contains(p.stderr.String(), "the guard was gone; another stands by\n") }, "told")
	p.keys.Write([]byte{0x90, 64, 100})
	soon(t, func() bool { return e.up() == 2 }, "it plays on")
	second := children(t, p.Process.Pid)
	require.Len(t, second, 1)
	require.NoError(t, p.Process.Signal(syscall.SIGKILL))
	soon(t, func() bool { return e.over() && e.up() == 0 }, "the second guard puts it low")
}

// TestLiveGuardDoesNotStay: a guard that dies at once is not started again and again.
func TestLiveGuardDoesNotStay(t *testing.T) {
	t.Parallel()
	_, rig := smallRig(t)
	p := startProcess(t, nil, rig, "--out", "/dev/null", "--quiet")
	soon(t, func() bool { return len(children(t, p.Process.Pid)) == 1 }, "a guard")
	soon(t, func() bool { // on a busy machine the first may have stood long enough for another
		for _, guard := range children(t, p.Process.Pid) {
			syscall.Kill(guard, syscall.SIGKILL)
		}
		return strings.Contains(p.stderr.String(), "the guard is gone, and none can take its place: it does not stay\n    if the program is killed now, notes may hang: end it with Ctrl-C and start it again\n")
	}, "told")
	p.keys.Close()
	require.Equal(t, exitFine, p.ends(t))
}

// TestLiveFullDevice: what cannot be played to is an error in the end (full(4)).
func TestLiveFullDevice(t *testing.T) {
	t.Parallel()
	_, rig := smallRig(t)
	p := startProcess(t, nil, rig, "--out", "/dev/full", "--quiet")
	soon(t, func() bool { // what comes before the output is open is not written to it
		p.keys.Write([]byte{0x90, 60, 100, 0x80, 60, 64})
		return strings.Contains(p.stderr.String(), "output 1 (/dev/full): no space left on device; trying again\n")
	}, "told")
	time.Sleep(time.Second)
	p.keys.Close()
	require.Equal(t, exitFailed, p.ends(t))
	require.Equal(t, 1, strings.Count(p.stderr.String(), "trying again"), p.stderr.String())
	require.Regexp(t, `choirloft: output 1 \(/dev/full\): no space left on device, and \d+ bytes are missing from it\n$`, p.stderr.String())
}

// TestLiveReaderHolds: bytes that a FIFO has taken and nobody reads are shown while it
// lasts, and told in the end.
func TestLiveReaderHolds(t *testing.T) {
	corpora.Patient(t)
	t.Parallel()
	dir, rig := smallRig(t)
	fifo := filepath.Join(dir, "fifo")
	makeFIFO(t, fifo)
	f, err := os.OpenFile(fifo, os.O_RDONLY|syscall.O_NONBLOCK, 0)
	require.NoError(t, err)
	defer f.Close()
	p := startProcess(t, nil, rig, "--out", fifo)
	soon(t, func() bool {
		p.keys.Write([]byte{0x90, 60, 100, 0x80, 60, 0})
		time.Sleep(100 * time.Millisecond)
		return strings.Contains(p.stderr.String(), "; output 1 does not read, ")
	}, "shown")
	p.keys.Close()
	require.Equal(t, exitFine, p.ends(t))
}
