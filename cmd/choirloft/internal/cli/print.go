package cli

import (
	"fmt"
	"slices"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"choirloft/cmd/choirloft/internal/draw"
	"choirloft/cmd/choirloft/internal/paper"
)

// printing are the flags of what goes on paper.
type printing struct {
	limits
	paper, date string
	width       int
	options     paper.Options
	root        func() *cobra.Command // known once the command has its place
	wide        *pflag.Flag           // the width of a PNG; nil where there is none
}

func (p *printing) flags(cmd *cobra.Command) {
	cmd.Flags().StringVar(&p.paper, "paper", "", "`SIZE` of the pages: a4 or letter")
	cmd.Flags().StringVar(&p.date, "date", "", "print this `DATE` on the pages, as in 2026-11-25")
	p.limits.flags(cmd)
	p.root = cmd.Root
	complete(cmd, "paper", []string{"a4", "letter"})
}

// pixels adds the flag of what can be a PNG.
func (p *printing) pixels(cmd *cobra.Command) {
	cmd.Flags().IntVar(&p.width, "width", 0, fmt.Sprintf("width of a .png in `PIXELS`, %d to %d", paper.LeastPixels, paper.MostPixels))
	complete(cmd, "width", []string{"800", "1600", "3200", "6400"})
	p.wide = cmd.Flags().Lookup("width")
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
	if o.ending() == ".pdf" {
		draw.ReadAhead()
	}
	if err := p.checkWidth(o); err != nil {
		return err
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

// checkWidth reads the width of a PNG, for which alone it is.
func (p *printing) checkWidth(o *output) error {
	if p.wide == nil || !p.wide.Changed {
		return nil
	}
	if o.ending() != ".png" {
		return &usageError{fmt.Sprintf("--width %d is for a picture in pixels", p.width), "add -o with a file that ends in .png"}
	}
	if p.width < paper.LeastPixels || p.width > paper.MostPixels {
		return &usageError{fmt.Sprintf("--width %d: want %d to %d pixels", p.width, paper.LeastPixels, paper.MostPixels), ""}
	}
	p.options.Width = p.width
	return nil
}
