package files

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"
)

// patience is how long a lock is waited for: it is held for as long as renaming
// takes.
const patience = 10 * time.Second

// locked does something while folders are locked and hold no journal. What a
// killed run left in them is settled before.
func (d disk) locked(ctx context.Context, folders []string, do func() error) (settled []string, err error) {
	sorted := slices.Sorted(slices.Values(folders)) // so that two runs never wait for each other
	for {
		for _, folder := range sorted {
			said, err := d.recover(ctx, folder)
			if err != nil {
				return settled, err
			}
			settled = append(settled, said...)
		}
		again, err := d.withLocks(ctx, sorted, sorted, do)
		if !again {
			return settled, err
		}
	}
}

// withLocks locks what is left of the folders, and looks for journals in all;
// where there is one it does nothing and asks to be called again.
func (d disk) withLocks(ctx context.Context, left, all []string, do func() error) (again bool, err error) {
	if len(left) > 0 {
		letGo, err := d.lock(ctx, left[0])
		if err != nil {
			return false, err
		}
		defer letGo()
		return d.withLocks(ctx, left[1:], all, do)
	}
	for _, folder := range all {
		j, err := d.findJournal(folder)
		if err != nil {
			return false, err
		}
		if j != nil {
			return true, nil
		}
	}
	return false, do()
}

// lock locks one folder, and waits for whoever has it.
func (d disk) lock(ctx context.Context, folder string) (letGo func(), err error) {
	deadline := time.Now().Add(patience)
	for {
		err = d.do("lock", folder, func() (err error) { letGo, err = holdFolder(folder); return err })
		switch {
		case err == nil:
			return letGo, nil
		case !errors.Is(err, errBusy):
			return nil, &Error{Name: folder, Message: "the folder cannot be locked: " + err.Error(), err: err}
		case time.Now().After(deadline):
			return nil, &Error{Name: folder, Message: fmt.Sprintf("another run has been writing into this folder for %s", patience), Hint: "wait for it, or end it", err: err}
		}
		if err := wait(ctx, 2*time.Millisecond); err != nil {
			return nil, err
		}
	}
}
