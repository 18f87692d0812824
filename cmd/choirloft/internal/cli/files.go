package cli

import (
	"context"
	"os"
	"path/filepath"
	"slices"

	"github.com/spf13/cobra"

	"choirloft/cmd/choirloft/internal/files"
)

// commit puts files in their places, all or none, and says what older results
// they replaced. A file that was read, and so is known, is not named again.
func (a *app) commit(ctx context.Context, outs ...files.Out) error {
	outs = slices.Clone(outs)
	for i := range outs {
		outs[i].Waits = func() { a.complain("waiting for a reader of "+outs[i].Name, endsWaiting) }
	}
	done, err := files.Commit(ctx, outs...)
	for _, said := range done.Settled {
		a.complain(said, "")
	}
	for _, name := range done.Replaced {
		for i := range outs {
			if outs[i].Name == name && outs[i].Was == nil {
				a.complain(name+": an older file was replaced", "")
			}
		}
	}
	return err
}

// settle finishes, before anything is read, what a run that was killed has left
// undone beside the files that are named. What cannot be finished is said, and
// the files are read as they are.
func (a *app) settle(cmd *cobra.Command, args []string) {
	for _, arg := range args {
		if info, err := os.Stat(arg); err == nil && info.IsDir() {
			arg = filepath.Join(arg, "song") // any in it
		}
		said, err := files.Settle(cmd.Context(), arg)
		for _, line := range said {
			a.complain(line, "")
		}
		if err != nil {
			a.report(err)
		}
	}
}
