package cli

import (
	"errors"
	"io"

	"github.com/spf13/cobra"

	"choirloft/cmd/choirloft/internal/files"
	"choirloft/cmd/choirloft/internal/report"
	"choirloft/cmd/choirloft/internal/text"
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
	p, err := buildPlan(rigFile, w.overrides)
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
	page := report.NewLineCheck(c, w.file)
	printed, err := w.render(&output{json: w.json}, page, func(to io.Writer, o text.Options) error { return text.LineCheck(to, page, o) })
	if err := errors.Join(err, cmd.Context().Err()); err != nil {
		return err
	}
	if err := w.commit(cmd.Context(), files.Out{Flag: "-o", Name: w.file, Data: data}); err != nil {
		return err
	}
	return w.print(printed)
}
