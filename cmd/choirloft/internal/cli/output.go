package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/cmd/choirloft/internal/files"
	"choirloft/cmd/choirloft/internal/paper"
	"choirloft/cmd/choirloft/internal/say"
	"choirloft/profiles/unit"
)

// output says where a result goes, and how.
type output struct {
	json    bool
	file    string
	endings []string // of files beside .txt and .json
	// views write the formats of these endings; set before emit.
	views map[string]func(io.Writer) error
	// figures draw what stands in documents; set before tell.
	figures paper.Figures
	printing
}

// documents adds the flags of an output that is a document, and has further
// formats by the endings of their files.
func (o *output) documents(cmd *cobra.Command, endings ...string) {
	o.formats(cmd, append([]string{".md", ".html", ".pdf"}, endings...)...)
	o.printing.flags(cmd)
	if slices.Contains(endings, ".png") {
		o.printing.pixels(cmd)
	}
	cmd.Long = strings.TrimSpace(cmd.Long) + fmt.Sprintf("\n\n-o FILE.pdf has at most %d pages of tables, or with --yes as many as it takes.", mostPages)
}

// tell says a result: the values as JSON, or the document that says them in
// words, or another view of the file's ending. It writes all or, on an error,
// nothing.
func (a *app) tell(ctx context.Context, o *output, value any, d *doc.Doc) error {
	data, err := a.laidOut(o, value, d)
	if err := errors.Join(err, ctx.Err()); err != nil {
		return err
	}
	if o.file != "" {
		if err := a.commit(ctx, o.out(data)); err != nil || o.json {
			return err
		}
		return a.print([]byte("Written: " + unit.Printable(o.file) + "\n"))
	}
	return a.print(data)
}

func (a *app) laidOut(o *output, value any, d *doc.Doc) ([]byte, error) {
	if o.json {
		say.Fill(value)
		return contract.JSON(value)
	}
	if further, ok := o.views[o.ending()]; ok {
		return bytesOf(further)
	}
	return bytesOf(func(w io.Writer) error {
		switch o.ending() {
		case ".md":
			return doc.Markdown(w, d)
		case ".html":
			return paper.HTML(w, d, o.figures, o.options)
		case ".pdf":
			if err := o.allowPages(d); err != nil {
				return err
			}
			return paper.Document(w, d, o.figures, o.options)
		}
		return doc.Text(w, d, a.text(o))
	})
}

// allowPages refuses a document of too many pages before it is laid out.
func (o *output) allowPages(d *doc.Doc) error {
	n := paper.AtLeast(d)
	return o.limits.check(int64(n), mostPages, "-o "+o.file, fmt.Sprintf("%s of tables", unit.Count(n, "page")), strconv.Itoa(mostPages))
}

// room is that of the screen for text, and that of paper for what has pages.
func (o *output) room() say.Room {
	if o.file == "" || o.ending() == ".txt" {
		return say.Screen
	}
	return say.Paper
}

// pictures tells whether the output is a picture and nothing else.
func (o *output) pictures() bool { return o.ending() == ".svg" || o.ending() == ".png" }

// text says how text is laid out: for the width of the terminal and in colour,
// or for a file.
func (a *app) text(o *output) doc.TextOptions {
	if o.file != "" {
		return doc.TextOptions{}
	}
	return doc.TextOptions{Width: width(a.stdout), ASCII: !utf8Locale(), Colour: isTerminal(a.stdout) && os.Getenv("NO_COLOR") == "" && os.Getenv("TERM") != "dumb"}
}

// formats adds the flags of an output that has further formats, by the endings
// of their files.
func (o *output) formats(cmd *cobra.Command, endings ...string) {
	o.endings = endings
	cmd.Flags().BoolVar(&o.json, "json", false, "print JSON")
	cmd.Flags().StringVarP(&o.file, "output", "o", "", "write to this `FILE`, over an older one, in the format of its ending: "+unit.Choice(o.all()))
}

func (o *output) all() []string { return append([]string{".txt", ".json"}, o.endings...) }

func (o *output) ending() string { return strings.ToLower(filepath.Ext(o.file)) }

// check refuses what cannot be written before any work is done. inputs are
// files that must not be written over.
func (o *output) check(inputs ...string) error {
	if o.file == "" {
		return nil
	}
	switch ending := o.ending(); {
	case !slices.Contains(o.all(), ending):
		return noFormat("-o", o.file, "no format", o.all(), "leave -o out to print")
	case ending == ".json":
		o.json = true
	case o.json:
		return &usageError{"--json and -o " + o.file + " cannot go together", "name the file .json, or leave --json out"}
	}
	return files.Check(inputs, o.out(nil))
}

// noFormat refuses a file, named with a flag, whose ending is none of those that there are. What says
// what none of them stands for, and print, where it is not empty, how the result
// comes to standard output.
func noFormat(flag, file, what string, endings []string, print string) error {
	info, err := os.Stat(file)
	ending := filepath.Ext(file)
	switch {
	case file == standardInput || err == nil && info.Mode()&os.ModeCharDevice != 0 || strings.HasPrefix(file, "/dev/std"):
		return &usageError{fmt.Sprintf("%s %s: want the name of a file, with one of the endings %s", flag, file, unit.List(endings)), print}
	case strings.HasSuffix(file, string(filepath.Separator)) || err == nil && info.IsDir():
		return &usageError{flag + " " + file + ": this is a folder, want a file", "name a file in it, with one of the endings " + unit.List(endings)}
	case ending == "":
		return &usageError{fmt.Sprintf("%s %s: no ending says in which format, there are %s", flag, file, unit.List(endings)), "name it " + file + endings[0]}
	}
	if len(endings) == 1 {
		return &usageError{fmt.Sprintf("%s %s: the ending %q names %s, want %s", flag, file, ending, what, endings[0]), ""}
	}
	return &usageError{fmt.Sprintf("%s %s: the ending %q names %s, there are %s", flag, file, ending, what, unit.List(endings)), ""}
}

// out is the file, with what is to stand in it.
func (o *output) out(data []byte) files.Out { return files.Out{Flag: "-o", Name: o.file, Data: data} }

// print writes to standard output.
func (a *app) print(data []byte) error {
	if _, err := a.stdout.Write(data); err != nil {
		return fmt.Errorf("standard output: %s", reason(err))
	}
	return nil
}
