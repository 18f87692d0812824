package cli

import (
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"
)

// terminal opens a terminal: the side of who looks at it, and the side of who runs
// in it (pty(7)).
func terminal(t *testing.T) (outside, inside *os.File) {
	outside, err := os.OpenFile("/dev/ptmx", os.O_RDWR|unix.O_NOCTTY, 0)
	require.NoError(t, err)
	raw, err := outside.SyscallConn()
	require.NoError(t, err)
	var n int
	var failed error
	require.NoError(t, raw.Control(func(fd uintptr) {
		if failed = unix.IoctlSetPointerInt(int(fd), unix.TIOCSPTLCK, 0); failed == nil {
			n, failed = unix.IoctlGetInt(int(fd), unix.TIOCGPTN)
		}
	}))
	require.NoError(t, failed)
	inside, err = os.OpenFile(fmt.Sprintf("/dev/pts/%d", n), os.O_RDWR|unix.O_NOCTTY, 0)
	require.NoError(t, err)
	return outside, inside
}

// TestLiveTerminalVanishes closes the terminal at a random moment: the gates go low,
// and the log is kept.
func TestLiveTerminalVanishes(t *testing.T) {
	t.Parallel()
	for n := range rounds(t) {
		dir, rig := smallRig(t)
		in := filepath.Join(dir, "in")
		makeFIFO(t, in)
		to, e, _, _ := endOf(t, "tcp", "")
		outside, inside := terminal(t)
		log := filepath.Join(dir, "log.mid")
		p := startProcess(t, func(cmd *exec.Cmd) {
			cmd.Stdin, cmd.Stdout, cmd.Stderr = inside, inside, inside
			cmd.SysProcAttr = &syscall.SysProcAttr{Setsid: true, Setctty: true}
		}, rig, "--in", in, "--out", to, "--log", log)
		inside.Close()
		keys, err := os.OpenFile(in, os.O_WRONLY, 0)
		require.NoError(t, err)
		keys.Write([]byte{0x90, 60, 100, 64, 100})
		soon(t, func() bool { return e.up() == 2 }, "two notes")
		if n%2 == 0 {
			outside.Write([]byte{'S' - '@'}) // ^S: whoever writes to it now waits
		}
		time.Sleep(time.Duration(rand.IntN(600)) * time.Millisecond)
		keys.Write([]byte{0x90, 67, 100})
		soon(t, func() bool { return e.up() == 3 }, "a note under ^S")
		outside.Close()
		p.ends(t)
		keys.Close()
		soon(t, func() bool { return e.over() && e.up() == 0 }, "low")
		data, err := os.ReadFile(log)
		require.NoError(t, err)
		require.Equal(t, [][3]byte{{0x90, 60, 100}, {0x90, 64, 100}, {0x90, 67, 100}}, logEvents(t, data)[:3]) // and what lets go
	}
}

// TestLiveGuardIsGone: that nobody stands guard any more is said, and the session
// plays on.
func TestLiveGuardIsGone(t *testing.T) {
	t.Parallel()
	_, rig := smallRig(t)
	to, e, _, _ := endOf(t, "tcp", "")
	p := startProcess(t, nil, rig, "--out", to, "--quiet")
	p.keys.Write([]byte{0x90, 60, 100})
	soon(t, func() bool { return e.up() == 1 }, "a note")
	var guards []int
	soon(t, func() bool { guards = children(t, p.Process.Pid); return len(guards) == 1 }, "a guard")
	require.NoError(t, syscall.Kill(guards[0], syscall.SIGKILL))
	soon(t, func() bool { return strings.Contains(p.stderr.String(), "the guard is gone") }, "told")
	p.keys.Write([]byte{0x90, 61, 100})
	soon(t, func() bool { return e.up() == 2 }, "it plays on")
	p.keys.Close()
	require.Equal(t, exitFine, p.ends(t))
	soon(t, func() bool { return e.over() && e.up() == 0 }, "low")
}
