package files

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"syscall"
)

// disk is the system calls that writing takes. Before, where it is set, is
// asked first, and an error of its is that of the call: so tests fail each.
type disk struct {
	before func(call, path string) error
}

func (d disk) ask(call, path string) error {
	if d.before == nil {
		return nil
	}
	return d.before(call, path)
}

// do makes a call that only may fail.
func (d disk) do(call, path string, what func() error) error {
	if err := d.ask(call, path); err != nil {
		return err
	}
	return what()
}

// lstat returns nothing where there is no file; a link is not followed.
func (d disk) lstat(path string) (info fs.FileInfo, err error) {
	err = d.do("stat", path, func() (err error) { info, err = os.Lstat(path); return err })
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	return info, err
}

// stat returns nothing where there is no file.
func (d disk) stat(path string) (info fs.FileInfo, err error) {
	err = d.do("stat", path, func() (err error) { info, err = os.Stat(path); return err })
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	return info, err
}

func (d disk) rename(from, to string) error {
	return d.do("rename", to, func() error { return os.Rename(from, to) })
}

func (d disk) link(from, to string) error {
	return d.do("link", to, func() error { return os.Link(from, to) })
}

// remove is content where there is no file.
func (d disk) remove(path string) error {
	err := d.do("remove", path, func() error { return os.Remove(path) })
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	return err
}

// read reads at most so many bytes.
func (d disk) read(path string, most int) (data []byte, err error) {
	if err := d.ask("open", path); err != nil {
		return nil, err
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	err = d.do("read", path, func() (err error) { data, err = io.ReadAll(io.LimitReader(f, int64(most))); return err })
	return data, err
}

// names are those of the files in a folder that match a pattern.
func (d disk) names(folder, pattern string) (names []string, err error) {
	var all []fs.DirEntry
	if err := d.do("list", folder, func() (err error) { all, err = os.ReadDir(folder); return err }); err != nil {
		return nil, err
	}
	for _, entry := range all {
		if ok, _ := filepath.Match(pattern, entry.Name()); ok && entry.Type().IsRegular() {
			names = append(names, filepath.Join(folder, entry.Name()))
		}
	}
	return names, nil
}

// settle brings the names in a folder to the disk, where the system can.
func (d disk) settle(folder string) error {
	err := d.do("sync folder", folder, func() error { return syncFolder(folder) })
	if errors.Is(err, syscall.EINVAL) || errors.Is(err, errors.ErrUnsupported) {
		return nil
	}
	return err
}

// file is an open file to write to.
type file struct {
	disk
	f    *os.File
	path string
}

// create makes a new file, for its owner alone where it is private.
func (d disk) create(path string, private bool) (*file, error) {
	mode := fs.FileMode(0o666)
	if private {
		mode = 0o600
	}
	return d.open(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, mode)
}

func (d disk) open(path string, flags int, mode fs.FileMode) (*file, error) {
	if err := d.ask("open", path); err != nil {
		return nil, err
	}
	f, err := os.OpenFile(path, flags, mode)
	if err != nil {
		return nil, err
	}
	return &file{d, f, path}, nil
}

func (f *file) Write(data []byte) (int, error) {
	if err := f.ask("write", f.path); err != nil {
		n, _ := f.f.Write(data[:len(data)/2]) // as much as there was room for
		return n, err
	}
	return f.f.Write(data)
}

func (f *file) sync() error { return f.do("sync", f.path, f.f.Sync) }

// close closes the file; again is nothing.
func (f *file) close() error {
	if err := f.ask("close", f.path); err != nil {
		f.f.Close()
		return err
	}
	if err := f.f.Close(); !errors.Is(err, os.ErrClosed) {
		return err
	}
	return nil
}

// like gives a file the owner and mode of another.
func (f *file) like(other fs.FileInfo) error {
	now, err := f.f.Stat()
	if err != nil {
		return err
	}
	uid, gid := owner(other)
	if u, g := owner(now); u != uid || g != gid {
		if err := f.do("chown", f.path, func() error { return f.f.Chown(uid, gid) }); err != nil {
			return err
		}
	}
	const kept = fs.ModePerm | fs.ModeSetuid | fs.ModeSetgid | fs.ModeSticky
	return f.do("chmod", f.path, func() error { return f.f.Chmod(other.Mode() & kept) })
}
