//go:build linux || darwin

package wire

import (
	"io"
	"io/fs"
	"net"
	"os"
	"os/signal"
	"runtime"
	"syscall"

	"golang.org/x/sys/unix"
)

// permitted says what is wrong with a FIFO or a device, without waiting for
// anybody.
func permitted(path string, mode fs.FileMode, input bool) error {
	access, flag := uint32(unix.W_OK), os.O_WRONLY
	if input {
		access, flag = unix.R_OK, os.O_RDONLY
	}
	if mode.Type() == fs.ModeNamedPipe {
		return unix.Access(path, access)
	}
	f, err := os.OpenFile(path, flag|unix.O_NONBLOCK|unix.O_NOCTTY, 0)
	if err != nil {
		return err
	}
	return f.Close()
}

// hungUp tells whether nobody is at the other end of an output any more.
func hungUp(to io.Writer) error {
	if events(to, 0)&(unix.POLLERR|unix.POLLHUP) != 0 {
		return errGone
	}
	return nil
}

// ready tells whether an output takes bytes now.
func ready(to io.Writer) bool { return events(to, unix.POLLOUT)&unix.POLLOUT != 0 }

// events asks the system about an output, and does not wait.
func events(of io.Writer, wanted int16) (found int16) {
	c, ok := of.(syscall.Conn)
	if !ok {
		return 0
	}
	raw, err := c.SyscallConn()
	if err != nil {
		return 0
	}
	raw.Control(func(fd uintptr) {
		p := []unix.PollFd{{Fd: int32(fd), Events: wanted}}
		if n, err := unix.Poll(p, 0); err == nil && n > 0 {
			found = p[0].Revents
		}
	})
	return found
}

// unread is how many bytes a pipe or FIFO has taken that nobody has read; 0 where the
// system does not say.
func unread(to io.Writer) (n int) {
	c, ok := bare(to).(syscall.Conn)
	if !ok || runtime.GOOS != "linux" {
		return 0
	}
	f, ok := c.(*os.File)
	if !ok {
		return 0
	}
	if info, err := f.Stat(); err != nil || info.Mode().Type() != fs.ModeNamedPipe {
		return 0
	}
	if raw, err := c.SyscallConn(); err == nil {
		raw.Control(func(fd uintptr) {
			n, _ = unix.IoctlGetInt(int(fd), inputQueue)
		})
	}
	return max(n, 0)
}

// inputQueue is FIONREAD of Linux (ioctl_tty(2), pipe(7)).
const inputQueue = 0x541B

// Unstoppable lets the keys that stop a program do nothing: it would stop with its
// notes standing.
func Unstoppable() { signal.Ignore(unix.SIGTSTP, unix.SIGTTOU) }

// Lock takes an open file for this process, for as long as it or a duplicate that
// the guard holds is open. The error is ErrInUse where another has it; a disk
// without locks lets everybody in.
func Lock(f *os.File) error {
	raw, err := f.SyscallConn()
	if err != nil {
		return err
	}
	busy := false
	err = raw.Control(func(fd uintptr) {
		err := unix.EINTR
		for err == unix.EINTR {
			err, _ = unix.Flock(int(fd), unix.LOCK_EX|unix.LOCK_NB).(unix.Errno)
		}
		busy = err == unix.EWOULDBLOCK
	})
	if busy {
		return ErrInUse
	}
	return err
}

// userTimeout is TCP_USER_TIMEOUT of Linux (tcp(7)), which golang.org/x/sys names
// for that system alone.
const userTimeout = 18

// notice lets a connection fail when bytes that were sent have not arrived after a
// while, where the system can do so: while bytes are on their way nobody asks
// whether the other machine is there.
func notice(c net.Conn) {
	t, ok := c.(*net.TCPConn)
	if !ok || runtime.GOOS != "linux" {
		return
	}
	if raw, err := t.SyscallConn(); err == nil {
		raw.Control(func(fd uintptr) {
			unix.SetsockoptInt(int(fd), unix.IPPROTO_TCP, userTimeout, int(vanished.Milliseconds()))
		})
	}
}
