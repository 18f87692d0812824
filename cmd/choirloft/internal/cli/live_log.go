package cli

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

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

// keepLog makes the file of a log. One that is there already is kept, under
// another name.
func keepLog(name string, s *live.Session, say func(message, hint string)) (*logKeeper, error) {
	if err := keepOlder(name, say); err != nil {
		return nil, &fileError{name, reason(err), ""}
	}
	f, err := os.OpenFile(name, os.O_RDWR|os.O_CREATE, 0o666)
	if err != nil {
		return nil, &fileError{name, reason(err), ""}
	}
	log, err := s.NewLogFile(f)
	if err != nil {
		f.Close()
		return nil, &fileError{name, reason(err), ""}
	}
	return &logKeeper{name: name, say: say, file: f, log: log, spare: make([]byte, 0, 1<<17), done: make(chan struct{})}, nil
}

// keepOlder gives an older log a name with a number: it may be all that is left
// of an evening that ended badly.
func keepOlder(name string, say func(message, hint string)) error {
	info, err := os.Stat(name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		return err
	case info.IsDir():
		return errors.New("this is a folder, want a file")
	case !info.Mode().IsRegular():
		return errors.New("this is no file, and a log is written in more than one place")
	case info.Size() == 0:
		return nil
	}
	real, err := filepath.EvalSymlinks(name)
	if err != nil {
		return err
	}
	stem := strings.TrimSuffix(real, filepath.Ext(real))
	for n := 1; ; n++ {
		other := fmt.Sprintf("%s-%d%s", stem, n, filepath.Ext(real))
		if err := os.Link(real, other); errors.Is(err, fs.ErrExist) {
			continue
		} else if err != nil { // a disk without links
			if _, err := os.Lstat(other); err == nil {
				continue
			}
			if err := os.Rename(real, other); err != nil {
				return err
			}
		} else if err := os.Remove(real); err != nil {
			return errors.Join(err, os.Remove(other))
		}
		say(fmt.Sprintf("the older %s is now %s", name, filepath.Base(other)), "")
		return nil
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
