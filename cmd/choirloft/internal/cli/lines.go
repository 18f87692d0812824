package cli

import (
	"bufio"
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"choirloft/alloc/crew"
	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/say"
	"choirloft/routing/plan"
)

// linesFlag adds the flag that asks for a line a song.
func linesFlag(cmd *cobra.Command, to *bool) {
	cmd.Flags().BoolVar(to, "lines", false, "print each song as it is done: one line of JSON a song, in the order of names")
}

// noLines refuses with --lines what is not printed as lines.
func noLines(lines bool, o *output) error {
	switch {
	case lines && o.file != "":
		return &usageError{"--lines and -o " + o.file + " cannot go together", "lines are printed: let the shell put them into a file, as in > songs.jsonl"}
	case lines && o.json:
		return &usageError{"--lines and --json cannot go together", "each line is JSON already, leave --json out"}
	}
	return nil
}

// inLines does something with each of the songs, so many at once, and prints the
// value that says what came of one as soon as it is done and all before it are,
// in the order of their names. It keeps no song longer than that. A file that
// cannot be used is a line too, and makes the exit status.
func inLines[R any](ctx context.Context, a *app, p *plan.Plan, songs []source, atOnce int, do func(source) (R, error), value func(R) any) error {
	slices.SortStableFunc(songs, func(x, y source) int { return strings.Compare(x.path, y.path) })
	bar := progress(a.stderr, len(songs), "songs")
	if isTerminal(a.stdout) {
		bar = progress(io.Discard, len(songs), "songs") // the lines show it
	}
	defer bar.Finish()
	var status error
	err := inTurn(ctx, songs, atOnce, do, func(result R, err error) error {
		bar.Add(1)
		var line any
		if err == nil {
			line = value(result)
		} else if failure, ok := a.failure(err); ok {
			line, status = contract.NewFailedLine(p, failure), statusError(exitUsage)
		} else {
			return err
		}
		say.Fill(line)
		data, err := contract.Line(line)
		if err != nil {
			return err
		}
		return a.print(data)
	})
	if ctx.Err() != nil {
		return errors.New("interrupted, the lines up to here are whole")
	}
	return cmp.Or(err, status)
}

// inTurn does something with each of the songs, with so many at once, and hands
// over what came of them in their order. It ends with the first error of tell,
// and with ctx.
func inTurn[R any](ctx context.Context, songs []source, atOnce int, do func(source) (R, error), tell func(R, error) error) error {
	type outcome struct {
		result R
		err    error
	}
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	turns := make(chan chan outcome, atOnce-1)
	go func() {
		defer close(turns)
		for _, song := range songs {
			one := make(chan outcome, 1)
			select {
			case turns <- one:
			case <-ctx.Done():
				return
			}
			go func() {
				var o outcome
				o.err = crew.Catch(func() (err error) {
					o.result, err = do(song)
					return err
				})
				one <- o
			}()
		}
	}()
	for one := range turns {
		select {
		case <-ctx.Done():
			return ctx.Err()
		case o := <-one:
			if err := tell(o.result, o.err); err != nil {
				return err
			}
		}
	}
	return ctx.Err()
}

// maxLine is the longest line that is read, in bytes.
const maxLine = 256 << 20

// joined makes the table of several songs out of lines that were printed before,
// perhaps on several machines.
func (s *size) joined(ctx context.Context, names []string) error {
	if err := errors.Join(s.out.check(names...), s.out.printing.check(&s.out)); err != nil {
		return err
	}
	if s.out.pictures() {
		return &usageError{"-o " + s.out.file + ": pictures are of one song", "size a single song"}
	}
	files := make([]source, len(names))
	for i, name := range names {
		files[i].path = name
	}
	brief := !s.out.json && s.out.ending() != ".csv"
	var all []*contract.SizeLine
	err := inTurn(ctx, files, 1, func(from source) ([]*contract.SizeLine, error) { return s.sizeLines(from.path, brief) },
		func(lines []*contract.SizeLine, err error) error {
			all = append(all, lines...)
			return err
		})
	switch {
	case err != nil:
		return err
	case len(all) == 0:
		return &fileError{songName(names[0]), "no line in it, want those that size --lines printed", ""}
	}
	joined := contract.JoinSizes(all)
	for i := range joined.Failed {
		a := &joined.Failed[i]
		s.complain(a.File+": "+a.Message, "")
	}
	return s.tellSongs(ctx, joined)
}

// sizeLines reads a file of lines. Brief ones are without what a table leaves out.
func (s *size) sizeLines(name string, brief bool) ([]*contract.SizeLine, error) {
	from := s.stdin
	if name != standardInput {
		f, err := os.Open(name)
		if err != nil {
			return nil, unreadable(name, err)
		}
		defer f.Close()
		from = f
	}
	var lines []*contract.SizeLine
	scan := bufio.NewScanner(from)
	scan.Buffer(nil, maxLine)
	for n := 1; scan.Scan(); n++ {
		line, err := contract.ReadSizeLine(scan.Bytes())
		if err != nil {
			return nil, &fileError{fmt.Sprintf("%s:%d", songName(name), n), err.Error(), "want lines that size --lines printed"}
		}
		if s.first == nil {
			s.first = line
		}
		if s.first.Rig != line.Rig || s.first.Fingerprint != line.Fingerprint {
			return nil, &fileError{fmt.Sprintf("%s:%d", songName(name), n), fmt.Sprintf("the plan is %s of %s, that of the first line %s of %s",
				line.Fingerprint, line.Rig, s.first.Fingerprint, s.first.Rig), "join lines of one rig, with the same flags"}
		}
		if brief {
			line.Brief()
		}
		lines = append(lines, line)
	}
	if err := scan.Err(); err != nil {
		return nil, unreadable(songName(name), err)
	}
	return lines, nil
}
