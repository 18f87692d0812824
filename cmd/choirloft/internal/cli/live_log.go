package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"time"

	"choirloft/cmd/choirloft/internal/wire"
	"choirloft/routing/live"
)

// logEvery is how often the log is written: what a kill can take of it.
const logEvery = 500 * time.Millisecond

// logKeeper writes the log of a session as it is played.
type logKeeper struct {
	name    string
	say     func(message, hint string)
	file    *os.File
	log     *live.LogFile
	spare   []byte // room for what the session says next
	waiting []byte // what the disk has not taken
	err     error
	done    chan struct{} // closed when nobody writes any more
}

// keepLog makes the file of a log, and locks it. An older log is kept, under
// another name; a file that is none is refused.
func keepLog(name string, s *live.Session, say func(message, hint string)) (*logKeeper, error) {
	f, err := openLog(name, say)
	if err != nil {
		return nil, err
	}
	log, err := s.NewLogFile(f)
	if err != nil {
		f.Close()
		return nil, noLog(name, err)
	}
	return &logKeeper{name: name, say: say, file: f, log: log, spare: make([]byte, 0, 1<<17), done: make(chan struct{})}, nil
}

const anotherLog = "give --log another name"

// noLog says why a log cannot be kept under a name, and the way out.
func noLog(name string, err error) error {
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return &fileError{name, "there is no folder " + filepath.Dir(name), "make the folder first, or " + anotherLog}
	case errors.Is(err, fs.ErrPermission):
		return &fileError{name, reason(err), anotherLog + ", in a folder that you may write to"}
	}
	return &fileError{name, reason(err), anotherLog}
}

// openLog makes an empty file that nobody else has. It looks again where somebody
// was quicker.
func openLog(name string, say func(message, hint string)) (*os.File, error) {
	for {
		older, err := olderLog(name)
		if err != nil {
			return nil, err
		}
		if older == nil {
			f, err := os.OpenFile(name, os.O_RDWR|os.O_CREATE|os.O_EXCL, 0o666)
			if errors.Is(err, fs.ErrExist) { // or it is a link to where nothing is
				if _, gone := os.Stat(name); errors.Is(gone, fs.ErrNotExist) {
					f, err = os.OpenFile(name, os.O_RDWR|os.O_CREATE, 0o666)
				} else {
					continue
				}
			}
			if err != nil {
				return nil, noLog(name, err)
			}
			if err := wire.Lock(f); err != nil {
				f.Close()
				return nil, inUse(name, err)
			}
			if keepsName(f, name) {
				return f, nil
			}
			f.Close()
			continue
		}
		err = setAside(older, name, say)
		older.Close()
		if err != nil {
			return nil, noLog(name, err)
		}
	}
}

// inUse says that a log is being written by somebody else.
func inUse(name string, err error) error {
	if errors.Is(err, wire.ErrInUse) {
		return &fileError{name, "another choirloft live is writing this log", anotherLog}
	}
	return noLog(name, err)
}

// olderLog opens and locks the log that is there; nil where nothing is.
func olderLog(name string) (*os.File, error) {
	info, err := os.Stat(name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, nil
	case err != nil:
		return nil, noLog(name, err)
	case info.IsDir():
		return nil, &fileError{name, "this is a folder, want a file", anotherLog}
	case !info.Mode().IsRegular():
		return nil, &fileError{name, "this is a FIFO or a device, and a log must be a file", anotherLog}
	}
	f, err := os.Open(name)
	if err != nil {
		return nil, noLog(name, err)
	}
	if err := wire.Lock(f); err != nil {
		f.Close()
		return nil, inUse(name, err)
	}
	head := make([]byte, headSize)
	n, err := f.ReadAt(head, 0)
	if n > 0 && !live.IsLog(head[:n]) {
		f.Close()
		return nil, &fileError{name, "this file is there, and it is no log of choirloft live", anotherLog + ", or delete the file first"}
	}
	if err != nil && !errors.Is(err, io.EOF) {
		f.Close()
		return nil, noLog(name, err)
	}
	return f, nil
}

// setAside gives an older log a name with a number: it may be all that is left of
// an evening that ended badly. One that is empty goes.
func setAside(older *os.File, name string, say func(message, hint string)) error {
	real, err := filepath.EvalSymlinks(name)
	if err != nil {
		return ignoreGone(err)
	}
	was, err := older.Stat()
	if err != nil {
		return err
	}
	if !keepsName(older, real) {
		return nil // somebody was quicker
	}
	if runtime.GOOS == "windows" {
		older.Close() // what is open keeps its name there
	}
	if was.Size() == 0 {
		return os.Remove(real)
	}
	other, err := numbered(real)
	if err == nil {
		say(fmt.Sprintf("the older %s is now %s", name, filepath.Base(other)), "")
	}
	return err
}

// keepsName tells whether an open file still has its name.
func keepsName(f *os.File, name string) bool {
	is, err := f.Stat()
	named, gone := os.Stat(name)
	return err == nil && gone == nil && os.SameFile(is, named)
}

// ignoreGone leaves it to another look where a file has gone meanwhile.
func ignoreGone(err error) error {
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	return err
}

// numbered renames a file to the first name with a number that is free.
func numbered(real string) (other string, err error) {
	stem := strings.TrimSuffix(real, filepath.Ext(real))
	for n := 1; ; n++ {
		other := fmt.Sprintf("%s-%d%s", stem, n, filepath.Ext(real))
		if err := os.Link(real, other); errors.Is(err, fs.ErrExist) {
			continue
		} else if err != nil { // a disk without links
			if _, err := os.Lstat(other); err == nil {
				continue
			}
			return other, os.Rename(real, other)
		}
		if err := os.Remove(real); err != nil {
			return "", errors.Join(err, os.Remove(other))
		}
		return other, nil
	}
}

// run writes what was played, again and again, until the context ends.
func (k *logKeeper) run(ctx context.Context, p *player) {
	defer close(k.done)
	defer p.rescue()
	ticker := time.NewTicker(logEvery)
	defer ticker.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-ticker.C:
			k.write(p)
		}
	}
}

// write appends what was played since the last time.
func (k *logKeeper) write(p *player) {
	said := k.fetch(p)
	k.waiting = append(k.waiting, said...)
	k.spare = said
	err := k.log.Append(k.waiting)
	if err == nil {
		k.waiting = k.waiting[:0]
	}
	if err != nil && k.err == nil {
		k.say(fmt.Sprintf("%s: %s; it is tried again, and kept in memory until then", k.name, reason(err)), "")
	}
	k.err = err
}

func (k *logKeeper) fetch(p *player) []byte {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.session.Logged(k.spare)
}

// close writes the end of the log.
func (k *logKeeper) close(p *player) {
	if k == nil {
		return
	}
	select {
	case <-k.done:
	case <-time.After(lastWord): // a disk that hangs
		k.err = errors.New("the disk does not take the end of it")
		return
	}
	k.write(p)
	k.err = errors.Join(k.err, k.file.Sync(), k.file.Close())
}

// failed says what became of a log that could not be written.
func (k *logKeeper) failed() error {
	if k == nil || k.err == nil {
		return nil
	}
	return fmt.Errorf("%s: %s; its end is missing", k.name, reason(k.err))
}
