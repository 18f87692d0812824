package cli

import (
	"io"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/paper"
)

// drawing is what the commands about songs draw and print: pictures as .svg, .png
// and .pdf, and a report as .html, or with --report as .pdf.
type drawing struct {
	report bool
	bars
}

// drawn are the endings of files that are drawn.
var drawn = []string{".pdf", ".svg", ".png", ".html"}

func (d *drawing) flag(cmd *cobra.Command) {
	cmd.Flags().BoolVar(&d.report, "report", false, "with -o FILE.pdf: findings, pictures and tables, not the pictures alone")
}

// bars choose a part of a song; 0 is its start or its end.
type bars struct{ from, to int }

// barFlag is a flag that names a bar, from 1.
type barFlag struct{ *int }

// Set reads a bar; the flag parser says what is wanted by its type.
func (b barFlag) Set(typed string) error {
	n, err := strconv.Atoi(typed)
	if err == nil && n < 1 {
		err = strconv.ErrRange
	}
	if err == nil {
		*b.int = n
	}
	return err
}

// String is empty: by default it is the first or the last.
func (barFlag) String() string { return "" }

// Type is what the flag parser asks for.
func (barFlag) Type() string { return wholeBar }

// wholeBar is what a flag wants that names a bar.
const wholeBar = "a whole bar from 1, such as 3"

// flags adds them to a command that does something with them.
func (b *bars) flags(cmd *cobra.Command, verb string) {
	cmd.Flags().Var(barFlag{&b.from}, "from", verb+" from this `BAR`")
	cmd.Flags().Var(barFlag{&b.to}, "to", verb+" to the end of this `BAR`")
}

// window is where they lie in a song.
func (b *bars) window(l *contract.Lanes) (contract.Window, error) {
	w, err := l.Within(b.from, b.to)
	if err != nil {
		return w, &usageError{b.asked() + ": " + err.Error(), ""}
	}
	return w, nil
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
	var w contract.Window // the whole song
	if d.bars != (bars{}) {
		var err error
		if w, err = d.window(l); err != nil {
			return err
		}
	}
	s := &paper.Song{Replay: r, Lanes: l, Window: w, Options: o.options}
	o.figures = s.Figures()
	o.views = map[string]func(io.Writer) error{".svg": s.SVG, ".png": s.PNG}
	if !d.report {
		o.views[".pdf"] = func(w io.Writer) error { return s.Pages(w, o.options) }
	}
	return nil
}

// asked are the bars as they were asked for.
func (d *bars) asked() string {
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
