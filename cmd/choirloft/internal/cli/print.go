package cli

import (
	"fmt"
	"slices"
	"time"

	"github.com/spf13/cobra"

	"choirloft/cmd/choirloft/internal/paper"
)

// printing are the flags of what goes on paper.
type printing struct {
	limits
	paper, date string
	options     paper.Options
	root        func() *cobra.Command // known once the command has its place
}

func (p *printing) flags(cmd *cobra.Command) {
	cmd.Flags().StringVar(&p.paper, "paper", "", "`SIZE` of the pages: a4 or letter")
	cmd.Flags().StringVar(&p.date, "date", "", "print this `DATE` on the pages, as in 2026-11-25")
	p.limits.flags(cmd)
	p.root = cmd.Root
	complete(cmd, "paper", []string{"a4", "letter"})
}

// check reads the flags; they are for formats that have pages.
func (p *printing) check(o *output) error {
	if p.root != nil {
		p.options.Command = p.root().Annotations[called]
	}
	for _, f := range []struct{ name, value string }{{"paper", p.paper}, {"date", p.date}} {
		if f.value != "" && !slices.Contains([]string{".pdf", ".svg", ".html"}, o.ending()) {
			return &usageError{"--" + f.name + " is for what is printed", "add -o with a file that ends in .pdf, .svg or .html"}
		}
	}
	if p.options.Cable > 0 && !slices.Contains([]string{".pdf", ".svg", ".html"}, o.ending()) {
		return &usageError{"--cable is for the flags of a sheet", "add -o with a file that ends in .pdf, .svg or .html"}
	}
	switch p.paper {
	case "", "a4":
	case "letter":
		p.options.Letter = true
	default:
		return &usageError{fmt.Sprintf("--paper %s: found %q, want a4 or letter", p.paper, p.paper), ""}
	}
	if p.date == "" {
		return nil
	}
	date, err := time.Parse(time.DateOnly, p.date)
	if err != nil {
		return &usageError{fmt.Sprintf("--date %s: found %q, want a date as in 2026-11-25", p.date, p.date), ""}
	}
	p.options.Date = date
	return nil
}
