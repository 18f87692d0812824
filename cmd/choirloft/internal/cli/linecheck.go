package cli

import (
	"errors"

	"github.com/spf13/cobra"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/files"
	"choirloft/cmd/choirloft/internal/say"
	"choirloft/routing/deal"
)

// songFlags are those that mean nothing without a song.
var songFlags = []string{"stems", "by-port", "passes", "bend-range", "track"}

// check writes a line check and prints its page.
func (w *write) check(cmd *cobra.Command, rigFile string) error {
	for _, name := range songFlags {
		if cmd.Flags().Changed(name) {
			return &usageError{"--" + name + " is for a song, and --line-check has none", ""}
		}
	}
	if err := w.allow(rigFile); err != nil {
		return err
	}
	p, err := w.buildPlan(cmd.Context(), rigFile, w.overrides)
	if err != nil {
		return err
	}
	c, err := deal.LineCheck(p)
	if err != nil {
		return within(rigFile, err)
	}
	data, err := c.Score().Bytes()
	if err != nil {
		return err
	}
	page := contract.NewLineCheck(c, w.file)
	printed, err := w.laidOut(&output{json: w.json}, page, say.LineCheck(page))
	if err := errors.Join(err, cmd.Context().Err()); err != nil {
		return err
	}
	if err := w.commit(cmd.Context(), files.Out{Flag: "-o", Name: w.file, Data: data}); err != nil {
		return err
	}
	return w.print(printed)
}
