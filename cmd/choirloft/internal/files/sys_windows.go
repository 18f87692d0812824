package files

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"syscall"

	"golang.org/x/sys/windows"
)

// Owners are left to the folder, which hands its rights down to new files.
func owner(fs.FileInfo) (uid, gid int) { return -1, -1 }
func mine(fs.FileInfo) bool            { return true }
func keepable(fs.FileInfo) bool        { return true }
func number(fs.FileInfo) uint64        { return 0 }

// writable knows of files alone: a folder's rights are found out by use.
func writable(path string, folder bool) error {
	if folder {
		return nil
	}
	info, err := os.Stat(path)
	if err == nil && info.Mode().Perm()&0o200 == 0 {
		return fs.ErrPermission
	}
	return err
}

func syncFolder(string) error { return errors.ErrUnsupported }

// errBusy says that another run holds a lock.
var errBusy = errors.New("another run holds the lock")

// hold locks an open file for as long as it is open: a byte far past its end, so
// that it can be read and written. The error is errBusy where another has it.
func hold(f *os.File) error {
	at := windows.Overlapped{OffsetHigh: 1 << 30}
	err := windows.LockFileEx(windows.Handle(f.Fd()), windows.LOCKFILE_EXCLUSIVE_LOCK|windows.LOCKFILE_FAIL_IMMEDIATELY, 0, 1, 0, &at)
	if err == windows.ERROR_LOCK_VIOLATION {
		return errBusy
	}
	return err
}

// holdFolder locks a folder until it is let go, or the process ends: by a file
// in it that nobody else may open, and that goes with its last handle.
func holdFolder(path string) (letGo func(), err error) {
	name, err := syscall.UTF16PtrFromString(filepath.Join(path, ".choirloft.lock"))
	if err != nil {
		return nil, err
	}
	h, err := windows.CreateFile(name, windows.GENERIC_WRITE|windows.DELETE, 0, nil, windows.OPEN_ALWAYS,
		windows.FILE_ATTRIBUTE_HIDDEN|windows.FILE_FLAG_DELETE_ON_CLOSE, 0)
	if err == windows.ERROR_SHARING_VIOLATION || err == windows.ERROR_DELETE_PENDING {
		return nil, errBusy
	}
	if err != nil {
		return nil, err
	}
	return func() { windows.CloseHandle(h) }, nil
}

// openFIFO opens what is no file on a disk.
func openFIFO(d disk, path string) (*file, error) { return d.open(path, os.O_WRONLY, 0) }

// renamesOpen tells whether a file may be renamed while it is open.
const renamesOpen = false

// room is how many bytes a folder's disk has left for this user.
func room(folder string) (int64, bool) {
	name, err := windows.UTF16PtrFromString(folder)
	if err != nil {
		return 0, false
	}
	var left uint64
	if err := windows.GetDiskFreeSpaceEx(name, &left, nil, nil); err != nil {
		return 0, false
	}
	return int64(min(left, 1<<62)), true
}
