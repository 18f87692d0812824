//go:build linux || darwin

package wire

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"os/signal"
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
	c, ok := to.(syscall.Conn)
	if !ok {
		return nil
	}
	raw, err := c.SyscallConn()
	if err != nil {
		return nil
	}
	var found int16
	err = raw.Control(func(fd uintptr) {
		p := []unix.PollFd{{Fd: int32(fd)}}
		if n, err := unix.Poll(p, 0); err == nil && n > 0 {
			found = p[0].Revents
		}
	})
	if err == nil && found&(unix.POLLERR|unix.POLLHUP) != 0 {
		return errGone
	}
	return nil
}

var errGone = errors.New("nobody is at the other end any more")

// Unstoppable lets the keys that stop a program do nothing: it would stop with its
// notes standing.
func Unstoppable() { signal.Ignore(unix.SIGTSTP, unix.SIGTTOU) }
