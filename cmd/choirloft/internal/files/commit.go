package files

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"time"
)

// Done is what a commit did beside writing.
type Done struct {
	Replaced []string // files of which there was an older one, by their names
	Settled  []string // what an earlier run had left; see [Settle]
}

// Commit writes all files of a run, or leaves all regular ones as they were and
// nothing beside them. FIFOs and devices are written into last before the others
// are put in their places; a FIFO is waited for until somebody reads it. It fails
// with [ErrChanged] where a file is no longer what was read, and with the context's
// error where that ends before the files are in their places. Other errors are an
// *[Error].
func Commit(ctx context.Context, outs ...Out) (Done, error) { return disk{}.commit(ctx, outs) }

func (d disk) commit(ctx context.Context, outs []Out) (done Done, err error) {
	targets, err := d.examine(outs)
	if err != nil {
		return done, err
	}
	r := &run{disk: d, targets: targets}
	defer r.clear()
	if done.Settled, err = d.locked(ctx, r.folders(), r.begin); err != nil {
		return done, err
	}
	for _, t := range targets {
		if err := r.fill(ctx, t); err != nil {
			return done, errors.Join(ctx.Err(), t.failed(err))
		}
	}
	settled, err := d.locked(ctx, r.folders(), func() error { return r.swap(ctx) })
	done.Settled = append(done.Settled, settled...)
	if err != nil {
		return done, err
	}
	for _, t := range targets {
		if t.was != nil && !t.stream {
			done.Replaced = append(done.Replaced, t.Name)
		}
	}
	return done, nil
}

// run is one commit.
type run struct {
	disk
	targets []*target
}

// regular are the files that are replaced.
func (r *run) regular() (list []*target) {
	for _, t := range r.targets {
		if !t.stream {
			list = append(list, t)
		}
	}
	return list
}

// folders are those of the files that are replaced, once each; the journal is in
// the first.
func (r *run) folders() (list []string) {
	seen := map[string]bool{}
	for _, t := range r.regular() {
		if !seen[t.folder] {
			list = append(list, t.folder)
		}
		seen[t.folder] = true
	}
	return list
}

// How temporary files are called, and the old ones for as long as they are kept.
const (
	tempPattern = ".choirloft-*.tmp"
	oldPattern  = ".choirloft-*.old"
)

// begin sweeps the folders and makes the temporary files.
func (r *run) begin() error {
	for _, folder := range r.folders() {
		r.sweep(folder)
	}
	for _, t := range r.regular() {
		mark := filepath.Join(t.folder, fmt.Sprintf(".choirloft-%016x", rand.Uint64()))
		t.old = mark + ".old"
		var err error
		if t.file, err = r.create(mark+".tmp", false); err != nil {
			return t.failed(err)
		}
		t.temp = mark + ".tmp"
		if err := r.do("lock", t.temp, func() error { return hold(t.file.f) }); err != nil && !errors.Is(err, errors.ErrUnsupported) {
			return t.failed(err)
		}
		if t.was != nil {
			if err := t.file.like(t.was); err != nil {
				return t.failed(fmt.Errorf("its owner and mode cannot be kept: %w", err))
			}
		}
	}
	return nil
}

// sweep removes what runs that were killed have left in a folder: what is
// locked belongs to one that goes on. It does what it can.
func (r *run) sweep(folder string) {
	temps, _ := r.names(folder, tempPattern)
	olds, _ := r.names(folder, oldPattern)
	for _, path := range append(temps, olds...) {
		info, err := r.lstat(path)
		if err != nil || info == nil || !mine(info) {
			continue
		}
		f, err := os.OpenFile(path, os.O_WRONLY, 0)
		if err != nil {
			continue
		}
		left := r.do("lock", path, func() error { return hold(f) }) == nil
		if !renamesOpen {
			f.Close()
		}
		if left {
			r.remove(path)
		}
		f.Close()
	}
}

// fill writes what is to stand in a file, and brings it to the disk.
func (r *run) fill(ctx context.Context, t *target) (err error) {
	if err := ctx.Err(); err != nil {
		return err
	}
	if t.stream {
		return r.pour(ctx, t)
	}
	if err := t.write(t.file); err != nil {
		return err
	}
	return t.file.sync()
}

func (t *target) write(to *file) error {
	if t.Fill != nil {
		return t.Fill(to)
	}
	_, err := to.Write(t.Data)
	return err
}

// pour writes into a FIFO or a device. What has gone in stays there.
func (r *run) pour(ctx context.Context, t *target) error {
	f, err := r.openStream(ctx, t)
	if err != nil {
		return err
	}
	stop := context.AfterFunc(ctx, func() { f.f.Close() }) // wakes a write that waits
	defer stop()
	if err := t.write(f); err != nil {
		f.close()
		return err
	}
	return f.close()
}

func (r *run) openStream(ctx context.Context, t *target) (*file, error) {
	if !t.fifo {
		return r.open(t.Name, os.O_WRONLY, 0)
	}
	tell, since := t.Waits, time.Now()
	for {
		f, err := openFIFO(r.disk, t.Name)
		if !errors.Is(err, errBusy) {
			return f, err
		}
		if tell != nil && time.Since(since) > time.Second {
			tell()
			tell = nil
		}
		if err := wait(ctx, 20*time.Millisecond); err != nil {
			return nil, err
		}
	}
}

func wait(ctx context.Context, d time.Duration) error {
	select {
	case <-ctx.Done():
		return ctx.Err()
	case <-time.After(d):
		return nil
	}
}

// swap puts the files in their places, with their folders locked.
func (r *run) swap(ctx context.Context) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	list := r.regular()
	for _, t := range list {
		if err := t.unchanged(r.disk); err != nil {
			return t.failed(err)
		}
		if !renamesOpen {
			if err := t.file.close(); err != nil {
				return t.failed(err)
			}
		}
	}
	switch len(list) {
	case 0:
		return nil
	case 1:
		return r.one(list[0])
	}
	return r.several(list)
}

// unchanged compares a file with what it was, and looks at it anew.
func (t *target) unchanged(d disk) (err error) {
	if t.was, err = d.lstat(t.path); err != nil {
		return err
	}
	if t.New && t.was != nil {
		return t.misnamed("it is there already", "give another name", fs.ErrExist)
	}
	if t.was != nil && !t.was.Mode().IsRegular() {
		return &Error{Name: t.Name, Message: "something else has been put there meanwhile, so nothing was written", err: ErrChanged}
	}
	if t.Was == nil {
		return nil
	}
	var now []byte
	if t.was != nil {
		if now, err = d.read(t.path, len(t.Was)+1); err != nil {
			return err
		}
	}
	if t.was == nil || !bytes.Equal(now, t.Was) {
		return &Error{Name: t.Name, Message: ErrChanged.Error(), Hint: "begin again from what stands there now", err: ErrChanged}
	}
	return nil
}

// one needs no journal: a renaming happens or not.
func (r *run) one(t *target) error {
	if err := r.place(t); err != nil {
		return t.failed(err)
	}
	t.temp = ""
	if err := r.settle(t.folder); err != nil {
		return &Error{Name: t.Name, Message: "it is written, but the disk has not confirmed it: " + err.Error(), err: err}
	}
	return nil
}

// place renames. A new file never replaces one that has just come.
func (r *run) place(t *target) error {
	if !t.New {
		return r.rename(t.temp, t.path)
	}
	err := r.link(t.temp, t.path)
	if errors.Is(err, fs.ErrExist) {
		return t.misnamed("it is there already", "give another name", fs.ErrExist)
	}
	if err != nil { // a disk without hard links
		return r.rename(t.temp, t.path)
	}
	r.remove(t.temp)
	return nil
}

// clear removes temporary files that are left, even where a journal is: without
// them it stands for a run that is to be undone.
func (r *run) clear() {
	for _, t := range r.targets {
		if t.file != nil {
			defer t.file.f.Close() // after the removal: until then it is locked
			if !renamesOpen {
				t.file.f.Close()
			}
		}
		if t.temp != "" {
			r.remove(t.temp)
		}
	}
}
