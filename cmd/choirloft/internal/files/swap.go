package files

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
)

// several puts files in their places after saying so in a journal.
func (r *run) several(list []*target) error {
	j, err := r.newJournal(list)
	if err != nil {
		return err
	}
	at := &j.Files[0]
	if err = r.writeJournal(j); err == nil {
		at, err = r.follow(j)
	}
	if err != nil {
		at := list[slices.IndexFunc(list, func(t *target) bool { return t.path == j.path(at.Name) })]
		err = at.failed(err)
		if worse := r.back(j); worse != nil {
			return at.failed(fmt.Errorf("%w; and undoing it: %w; whoever next writes or reads there mends it", err, worse))
		}
		return err
	}
	for _, t := range list {
		t.temp = ""
	}
	r.finish(j) // all is in place, whatever fails now
	return nil
}

// follow does what a journal says, as far as it is not done, and returns the
// file that it failed at. All old ones are kept first, so that the renamings follow
// each other at once.
func (d disk) follow(j *journal) (*entry, error) {
	for i := range j.Files {
		e := &j.Files[i]
		s, err := d.state(j, e)
		if err != nil {
			return e, err
		}
		e.done = s != pending
		e.kept = e.done || e.Was == nil || d.link(j.path(e.Name), j.path(e.Old)) == nil
	}
	for i := range j.Files {
		if err := d.advance(j, &j.Files[i]); err != nil {
			return &j.Files[i], err
		}
	}
	return &j.Files[0], d.confirm(j)
}

// confirm brings all names to the disk.
func (d disk) confirm(j *journal) error {
	for _, folder := range append([]string{j.at}, j.Others...) {
		if err := d.settle(folder); err != nil {
			return err
		}
	}
	return nil
}

// advance puts one file in its place. Where the disk has no hard links the old
// one is moved aside for an instant.
func (d disk) advance(j *journal, e *entry) error {
	if e.done {
		return nil
	}
	if !e.kept {
		if err := d.rename(j.path(e.Name), j.path(e.Old)); err != nil {
			return err
		}
	}
	return d.rename(j.path(e.New), j.path(e.Name))
}

// state is how far a file of a journal has come.
type state uint8

const (
	pending state = iota // the old one stands there, the new one beside it
	placed               // the new one stands there
	undone               // the old one stands there, the new one is gone
	changed              // something else stands there
)

// state looks at a file of a journal. Where the old one was moved aside, and
// nothing came in its place, it moves it back.
func (d disk) state(j *journal, e *entry) (state, error) {
	now, err := d.lstat(j.path(e.Name))
	if err != nil {
		return 0, err
	}
	if now == nil && e.Was != nil {
		old, err := d.lstat(j.path(e.Old))
		if err != nil {
			return 0, err
		}
		if e.Was.is(old) {
			if err := d.rename(j.path(e.Old), j.path(e.Name)); err != nil {
				return 0, err
			}
			now = old
		}
	}
	ready, err := d.lstat(j.path(e.New))
	switch {
	case err != nil:
		return 0, err
	case e.Is.is(now):
		return placed, nil
	case now == nil && e.Was != nil, now != nil && (e.Was == nil || !e.Was.is(now)):
		return changed, nil
	case e.Is.is(ready):
		return pending, nil
	}
	return undone, nil
}

// back undoes what a journal says, as far as it has been done.
func (d disk) back(j *journal) error {
	for i := len(j.Files) - 1; i >= 0; i-- {
		e := &j.Files[i]
		s, err := d.state(j, e)
		if err != nil {
			return err
		}
		if s != placed {
			continue
		}
		if e.Was == nil {
			err = d.remove(j.path(e.Name))
		} else {
			err = d.rename(j.path(e.Old), j.path(e.Name))
		}
		if err != nil {
			return err
		}
	}
	if err := d.confirm(j); err != nil {
		return err
	}
	d.finish(j)
	return nil
}

// finish removes a journal and what it names beside the files themselves. What
// cannot be removed is swept up by the next run, or found to be done by it.
func (d disk) finish(j *journal) {
	if d.removeJournal(j) != nil {
		return
	}
	for _, e := range j.Files {
		d.remove(j.path(e.New))
		d.remove(j.path(e.Old))
	}
}

// Settle finishes what a run that was killed has left undone in the folder of a
// file, so that of several files written together all are the new ones before one
// is read. It returns sentences to be shown. Where nothing was left, as always but
// after a kill, it costs a look for one file.
func Settle(ctx context.Context, name string) ([]string, error) {
	path, err := resolve(name)
	if err != nil {
		return nil, nil // whoever reads it finds out
	}
	folder := filepath.Dir(path)
	if _, err := os.Lstat(filepath.Join(folder, journalName)); err != nil {
		return nil, nil // none, or none that can be seen
	}
	return disk{}.recover(ctx, folder)
}

// recover follows the journal in a folder, if there is one.
func (d disk) recover(ctx context.Context, folder string) (said []string, err error) {
	j, err := d.findJournal(folder)
	if err != nil || j == nil {
		return nil, err
	}
	if j.Folder != "" && j.Folder != folder {
		if said, err = d.recover(ctx, j.Folder); err != nil {
			return said, err
		}
	}
	letGo, err := d.lock(ctx, folder)
	if err != nil {
		return said, err
	}
	defer letGo()
	if j, err = d.findJournal(folder); err != nil || j == nil {
		return said, err // its run lived, and has ended
	}
	if j.Folder != "" { // and the journal that it names is gone, or was never written
		return said, d.remove(filepath.Join(folder, journalName))
	}
	more, err := d.mend(j)
	return append(said, more), err
}

// mend brings the files of a journal, whose run was killed, to one state.
func (d disk) mend(j *journal) (said string, err error) {
	what := fmt.Sprintf("an earlier run was cut off while it wrote %s", j.path(j.Files[0].Name))
	if n := len(j.Files) - 1; n > 0 {
		what += fmt.Sprintf(" and %d more", n)
	}
	fail := func(err error) (string, error) {
		return "", &Error{Name: j.path(j.Files[0].Name), Message: what + ", and that cannot be mended: " + err.Error(), err: err}
	}
	var found [changed + 1]int
	for i := range j.Files {
		s, err := d.state(j, &j.Files[i])
		if err != nil {
			return fail(err)
		}
		if s == changed {
			what = fmt.Sprintf("%s; %s was changed since", what, j.path(j.Files[i].Name))
		}
		found[s]++
	}
	switch {
	case found[changed] > 0:
		d.finish(j)
		return what + ", so nothing more was touched: write them again", nil
	case found[undone] == 0:
		_, err := d.follow(j)
		if err == nil {
			d.finish(j)
			return what + ": it is finished now", nil
		}
		if worse := d.back(j); worse != nil {
			return fail(errors.Join(err, worse))
		}
	default:
		if err := d.back(j); err != nil {
			return fail(err)
		}
	}
	return what + ": it is undone now, write them again", nil
}
