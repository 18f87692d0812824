//go:build unix

package files

import (
	"errors"
	"io/fs"
	"os"
	"syscall"

	"golang.org/x/sys/unix"
)

// owner is that of a file.
func owner(info fs.FileInfo) (uid, gid int) {
	s, ok := info.Sys().(*syscall.Stat_t)
	if !ok {
		return -1, -1
	}
	return int(s.Uid), int(s.Gid)
}

// mine tells whether a file is this user's.
func mine(info fs.FileInfo) bool {
	uid, _ := owner(info)
	return uid == os.Geteuid()
}

// keepable tells whether a new file can have the owner of this one.
func keepable(info fs.FileInfo) bool { return os.Geteuid() == 0 || mine(info) }

// number is what tells a file from others of its disk.
func number(info fs.FileInfo) uint64 {
	s, ok := info.Sys().(*syscall.Stat_t)
	if !ok {
		return 0
	}
	return uint64(s.Ino)
}

// writable says why a file cannot be written, or a folder take new ones.
func writable(path string, folder bool) error {
	mode := uint32(unix.W_OK)
	if folder {
		mode |= unix.X_OK
	}
	return unix.Access(path, mode)
}

func syncFolder(path string) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	return f.Sync()
}

// errBusy says that another run holds a lock.
var errBusy = errors.New("another run holds the lock")

// hold locks an open file or folder for as long as it is open. The error is
// errBusy where another has it, errors.ErrUnsupported where the disk has no locks.
func hold(f *os.File) error {
	for {
		err := unix.Flock(int(f.Fd()), unix.LOCK_EX|unix.LOCK_NB)
		switch {
		case err == unix.EINTR:
			continue
		case err == unix.EWOULDBLOCK:
			return errBusy
		case err == unix.ENOTSUP, err == unix.ENOSYS, err == unix.ENOLCK, err == unix.EBADF, err == unix.EINVAL:
			return errors.ErrUnsupported
		}
		return err
	}
}

// holdFolder locks a folder until it is let go, or the process ends.
func holdFolder(path string) (letGo func(), err error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	err = hold(f)
	if errors.Is(err, errors.ErrUnsupported) {
		err = nil // the comparison of the bytes remains
	}
	if err != nil {
		f.Close()
		return nil, err
	}
	return func() { f.Close() }, nil
}

// openFIFO opens a FIFO at whose other end somebody reads; errBusy where nobody
// does yet.
func openFIFO(d disk, path string) (*file, error) {
	f, err := d.open(path, os.O_WRONLY|unix.O_NONBLOCK, 0)
	if errors.Is(err, unix.ENXIO) {
		return nil, errBusy
	}
	return f, err
}

// renamesOpen tells whether a file may be renamed while it is open.
const renamesOpen = true
