package cli

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"choirloft/cmd/choirloft/internal/files"
	"choirloft/cmd/choirloft/internal/report"
	"choirloft/cmd/choirloft/internal/text"
)

// output says where a result goes, and how.
type output struct {
	json    bool
	file    string
	endings []string // of files beside .txt and .json
	// views write the formats of these endings; set before emit.
	views map[string]func(io.Writer) error
}

func (o *output) flags(cmd *cobra.Command) { o.formats(cmd) }

// formats adds the flags of an output that has further formats, by the endings
// of their files.
func (o *output) formats(cmd *cobra.Command, endings ...string) {
	o.endings = endings
	cmd.Flags().BoolVar(&o.json, "json", false, "print JSON")
	cmd.Flags().StringVarP(&o.file, "output", "o", "", "write to this `FILE`, over an older one, in the format of its ending: "+list(o.all()))
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
		return &usageError{fmt.Sprintf("-o %s: the ending %q names no format, there are %s", o.file, ending, and(o.all())), ""}
	case ending == ".json":
		o.json = true
	case o.json:
		return &usageError{"--json and -o " + o.file + " are at odds", "name the file .json, or leave --json out"}
	}
	return files.Check(inputs, o.out(nil))
}

// out is the file, with what is to stand in it.
func (o *output) out(data []byte) files.Out { return files.Out{Flag: "-o", Name: o.file, Data: data} }

// emit renders a result and writes all of it or, on an error, nothing.
func (a *app) emit(ctx context.Context, o *output, value any, view func(io.Writer, text.Options) error) error {
	data, err := a.render(o, value, view)
	if err := errors.Join(err, ctx.Err()); err != nil {
		return err
	}
	if o.file != "" {
		return a.commit(ctx, o.out(data))
	}
	return a.print(data)
}

// print writes to standard output.
func (a *app) print(data []byte) error {
	if _, err := a.stdout.Write(data); err != nil {
		return fmt.Errorf("standard output: %s", reason(err))
	}
	return nil
}

func (a *app) render(o *output, value any, view func(io.Writer, text.Options) error) ([]byte, error) {
	if o.json {
		return report.JSON(value)
	}
	if further, ok := o.views[o.ending()]; ok {
		return bytesOf(further)
	}
	options := a.view()
	options.Colour = options.Colour && o.file == ""
	var b bytes.Buffer
	err := view(&b, options)
	return b.Bytes(), err
}
