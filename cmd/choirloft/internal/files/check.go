package files

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path/filepath"
)

// Out is a file to be written.
type Out struct {
	Flag string // that its name was given with, for messages: -o; empty for none
	Name string
	Data []byte
	// Fill writes the file instead of Data, and Size is how many bytes that will
	// be, as far as it is known; 0 where not.
	Fill func(io.Writer) error
	Size int64
	// Was is what was read of the file: it must still stand there. Nil lets
	// whatever stands there be replaced.
	Was []byte
	// Waits, unless it is nil, is told once when a FIFO has had no reader for a
	// second.
	Waits func()
	// New refuses to replace a file.
	New bool
}

func (o *Out) size() int64 { return max(o.Size, int64(len(o.Data))) }

// ErrChanged is in the chain of the error where a file is no longer what was
// read.
var ErrChanged = errors.New("the file has been changed meanwhile, so nothing was written")

// Check refuses, before the work, files that could not be written after it: an
// output that is one of the inputs or of the other outputs, a folder, a socket or
// a disk, no right to write, an owner that would be lost, no room for what is
// known of the size. Errors are an *[Error].
func Check(inputs []string, outs ...Out) error { return disk{}.check(inputs, outs) }

func (d disk) check(inputs []string, outs []Out) error {
	for i := range outs {
		for _, o := range outs[:i] {
			if same(o.Name, outs[i].Name) {
				return outs[i].misnamed(fmt.Sprintf("this and %s would be one file", o.Name), "give another name", nil)
			}
		}
		if err := Spare(outs[i].Flag, outs[i].Name, inputs...); err != nil {
			return err
		}
	}
	_, err := d.examine(outs)
	return err
}

// misnamed is the error of a call that names the wrong file.
func (o *Out) misnamed(message, hint string, err error) error {
	return &Error{Name: named(o.Flag, o.Name), Message: message, Hint: hint, Call: true, err: err}
}

// failed is the error of a file that cannot be written.
func (o *Out) failed(err error) error {
	var known *Error
	if errors.As(err, &known) {
		return err
	}
	var path *fs.PathError
	message := err.Error()
	if errors.As(err, &path) {
		message = path.Err.Error()
	}
	return &Error{Name: o.Name, Message: message, err: err}
}

// target is where an Out goes.
type target struct {
	*Out
	path   string // links followed
	folder string
	stream bool // it is written into, not replaced
	fifo   bool
	was    fs.FileInfo // what stands there; nil for nothing
	temp   string      // what is to stand there
	file   *file       // temp, while it is open
	old    string      // what stood there
}

// examine finds out where files go, and what would keep them from it.
func (d disk) examine(outs []Out) ([]*target, error) {
	targets := make([]*target, len(outs))
	for i := range outs {
		t := &target{Out: &outs[i]}
		if err := t.look(d); err != nil {
			return nil, t.failed(err)
		}
		targets[i] = t
	}
	return targets, fits(targets)
}

// look finds out what stands there.
func (t *target) look(d disk) (err error) {
	if err := t.kind(d); err != nil || t.stream {
		return err
	}
	t.path, err = resolve(t.Name)
	if errors.Is(err, fs.ErrNotExist) {
		return &Error{Name: t.Name, Message: "the folder that it would lie in is not there", Hint: "make the folder, or give another name", err: err}
	}
	if err != nil {
		return err
	}
	t.folder = filepath.Dir(t.path)
	if t.was != nil {
		if !keepable(t.was) {
			hint := "give another name"
			if t.Was != nil { // it stands for what was read of it
				hint = "copy it, and name the copy instead"
			}
			return &Error{Name: t.Name, Message: "it belongs to another user, and would then be yours", Hint: hint}
		}
		if err := d.do("access", t.path, func() error { return writable(t.path, false) }); err != nil {
			return err
		}
	}
	if err := d.do("access", t.folder, func() error { return writable(t.folder, true) }); err != nil {
		return &Error{Name: t.Name, Message: fmt.Sprintf("no file can be made in its folder: %s", err), Hint: "give another folder, or the right to write there", err: err}
	}
	return nil
}

// kind finds out what kind of file stands there, and refuses those that nothing
// can be written to.
func (t *target) kind(d disk) (err error) {
	if t.was, err = d.stat(t.Name); err != nil {
		return err
	}
	if t.New {
		link, err := d.lstat(t.Name)
		if err != nil {
			return err
		}
		if link != nil && (t.was == nil || t.was.Mode().IsRegular()) {
			return t.misnamed("it is there already", "give another name", fs.ErrExist)
		}
	}
	if t.was == nil {
		return nil
	}
	switch mode := t.was.Mode(); {
	case mode.IsDir():
		return t.misnamed("this is a folder, want a file", "", nil)
	case mode.IsRegular():
		return nil
	case mode&fs.ModeNamedPipe != 0, mode&fs.ModeCharDevice != 0:
		t.stream, t.fifo = true, mode&fs.ModeNamedPipe != 0
		if t.Was != nil {
			return t.misnamed("this is no file on a disk, so nothing can be kept in it", "", nil)
		}
		return d.do("access", t.Name, func() error { return writable(t.Name, false) })
	case mode&fs.ModeDevice != 0:
		return t.misnamed("this is a disk, want a file", "", nil)
	case mode&fs.ModeSocket != 0:
		return t.misnamed("this is a socket, want a file", "", nil)
	}
	return t.misnamed("this is no file, nor a FIFO or a device", "", nil)
}

// fits refuses files that there is no room for. A file is written beside the one
// that it replaces, so that takes up its room too.
func fits(targets []*target) error {
	need := map[string]int64{}
	for _, t := range targets {
		if t.stream {
			continue
		}
		need[t.folder] += t.size()
		left, known := room(t.folder)
		if known && (left == 0 || left < need[t.folder]) {
			return &Error{Name: t.Name, Message: fmt.Sprintf("no room: %s to be written, and the disk has %s left", amount(need[t.folder]), amount(left)),
				Hint: "make room, or write to another disk"}
		}
	}
	return nil
}

// amount is a number of bytes as one says it.
func amount(bytes int64) string {
	const kB = 1000
	switch {
	case bytes < 10*kB:
		return fmt.Sprintf("%d bytes", bytes)
	case bytes < 10*kB*kB:
		return fmt.Sprintf("%d kB", bytes/kB)
	}
	return fmt.Sprintf("%d MB", bytes/kB/kB)
}
