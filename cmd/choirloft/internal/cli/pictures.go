package cli

import (
	"io"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/figures"
	"choirloft/cmd/choirloft/internal/paper"
)

// drawing is what the commands about songs draw and print: pictures as .svg, .png
// and .pdf, and a report as .html, or with --report as .pdf.
type drawing struct {
	report   bool
	from, to int // bars
}

// drawn are the endings of files that are drawn.
var drawn = []string{".pdf", ".svg", ".png", ".html"}

func (d *drawing) flags(cmd *cobra.Command) {
	cmd.Flags().BoolVar(&d.report, "report", false, "with -o FILE.pdf: findings, pictures and tables, not the pictures alone")
}

// bars adds the flags that choose a part of a song.
func (d *drawing) bars(cmd *cobra.Command) {
	cmd.Flags().IntVar(&d.from, "from", 0, "draw from this `BAR`")
	cmd.Flags().IntVar(&d.to, "to", 0, "draw to the end of this `BAR`")
}

func (d *drawing) check(o *output) error {
	if d.report && o.ending() != ".pdf" {
		return &usageError{"--report is for -o with a file that ends in .pdf", "a file that ends in .html is a report by itself"}
	}
	if (d.from != 0 || d.to != 0) && !o.draws() {
		return &usageError{"--from and --to are for pictures", "add -o with a file that ends in .svg, .png, .pdf or .html"}
	}
	return o.printing.check(o)
}

// draws tells whether the output is drawn.
func (o *output) draws() bool {
	for _, ending := range drawn {
		if o.ending() == ending {
			return true
		}
	}
	return false
}

// oneSong refuses to draw several songs.
func (d *drawing) oneSong(o *output) error {
	if o.ending() == ".svg" || o.ending() == ".png" {
		return &usageError{"-o " + o.file + ": a picture is of one song", "name a single song"}
	}
	return nil
}

// song sets the views and figures of a replay.
func (d *drawing) song(o *output, r *contract.Replay, l *contract.Lanes) error {
	w, err := figures.Bars(l, d.from, d.to)
	if err != nil {
		return &usageError{d.asked() + ": " + err.Error(), ""}
	}
	s := &paper.Song{Replay: r, Lanes: l, Window: w}
	o.figures = s.Figures()
	o.views = map[string]func(io.Writer) error{".svg": s.SVG, ".png": s.PNG}
	if !d.report {
		o.views[".pdf"] = func(w io.Writer) error { return s.Pages(w, o.options) }
	}
	return nil
}

// asked are the bars as they were asked for.
func (d *drawing) asked() string {
	var flags []string
	for _, f := range []struct {
		name string
		bar  int
	}{{"--from", d.from}, {"--to", d.to}} {
		if f.bar != 0 {
			flags = append(flags, f.name+" "+strconv.Itoa(f.bar))
		}
	}
	return strings.Join(flags, " ")
}

// size adds the views of a size.
func (d *drawing) size(o *output, views map[string]func(io.Writer) error, s *contract.Size) {
	pages := paper.SizePages
	if d.report {
		pages = paper.SizeReport
	}
	views[".svg"] = func(w io.Writer) error { return paper.SizeSVG(w, s) }
	views[".png"] = func(w io.Writer) error { return paper.SizePNG(w, s) }
	views[".pdf"] = func(w io.Writer) error { return pages(w, s, o.options) }
	views[".html"] = func(w io.Writer) error { return paper.SizeHTML(w, s, o.options) }
}
