package cli

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strings"

	"choirloft/alloc/crew"
	"choirloft/cmd/choirloft/internal/draw"
	"choirloft/cmd/choirloft/internal/files"
	"choirloft/cmd/choirloft/internal/paper"
	"choirloft/profiles"
	"choirloft/profiles/unit"
	"choirloft/routing/deal"
	"choirloft/routing/plan"
)

// usageError is a wrong call, or an input that cannot be used.
type usageError struct{ message, hint string }

func (e *usageError) Error() string { return e.message }

// fileError is a file that cannot be used: it does not exist, cannot be read
// or is not what it should be.
type fileError struct {
	file, message, hint string
}

func (e *fileError) Error() string { return e.file + ": " + e.message }

// statusError ends the command with a status when all has been said.
type statusError int

func (e statusError) Error() string { return fmt.Sprintf("exit status %d", int(e)) }

// lettersHint is the way out of letters that the font lacks.
const lettersHint = "write .html, .svg, .md or .txt, which take the letters from your system; or use other letters. A font with all of them is too large to carry along"

// report prints an error and returns the status that it stands for.
func (a *app) report(err error) int {
	var (
		usage     *usageError
		file      *fileError
		override  *plan.OverrideError
		faults    profiles.Faults
		undealt   *deal.Error
		unwritten *files.Error
		status    statusError
		letters   *draw.LettersError
		pixels    *paper.TooManyPixelsError
		bug       *crew.Panic
	)
	switch {
	case err == nil:
		return exitFine
	case errors.As(err, &bug):
		a.bug(bug)
		return exitFailed
	case errors.As(err, &status):
		return int(status)
	case errors.Is(err, context.Canceled), errors.Is(err, context.DeadlineExceeded):
		a.complain("interrupted, nothing was written", "")
		return exitFailed
	case errors.As(err, &faults):
		a.faults(faults)
		return exitUsage
	case errors.As(err, &usage):
		a.complain(usage.message, usage.hint)
		return exitUsage
	case errors.As(err, &override):
		a.complain(override.Error(), override.Hint)
		return exitUsage
	case errors.As(err, &letters):
		a.complain(letters.Error(), lettersHint)
		return exitUsage
	case errors.As(err, &pixels):
		a.complain(pixels.Error(), "--width sets that, or write .svg or .pdf, which have no pixels")
		return exitUsage
	case errors.As(err, &undealt):
		a.complain(undealt.Error(), undealt.Hint)
		return exitUsage
	case errors.As(err, &file):
		a.complain(file.Error(), file.hint)
		return exitUsage
	case errors.As(err, &unwritten):
		a.complain(unwritten.Error(), unwritten.Hint)
		if unwritten.Call {
			return exitUsage
		}
		return exitFailed
	}
	a.complain(err.Error(), "")
	return exitFailed
}

// traceVariable is the environment variable that asks for what a report of a
// bug needs.
const traceVariable = "CHOIRLOFT_TRACE"

// bug says that the program itself is at fault. What a programmer wants to know
// of it is for those who ask.
func (a *app) bug(p *crew.Panic) {
	if os.Getenv(traceVariable) == "" {
		a.complain("this is a bug in choirloft; your files are fine", "set "+traceVariable+"=1 and do the same again: it then prints what a report of the bug needs")
		return
	}
	a.complain(fmt.Sprintf("this is a bug in choirloft; your files are fine: %v", p.Value), "")
	fmt.Fprintf(a.stderr, "%s\n", bytes.TrimSpace(p.Stack))
}

// complain prints a message and, on a line of its own, what to do about it.
func (a *app) complain(message, hint string) {
	fmt.Fprintln(a.stderr, "choirloft: "+unit.Printable(message))
	for line := range strings.Lines(hint) {
		fmt.Fprintln(a.stderr, strings.Repeat(" ", hintIndent)+unit.Printable(strings.TrimSuffix(line, "\n")))
	}
}

// hintIndent is how far hints stand from the edge, in characters.
const hintIndent = 4

// faults prints what is wrong with a rig: a line a fault, as editors
// understand them.
func (a *app) faults(faults profiles.Faults) {
	for _, f := range faults {
		fmt.Fprintln(a.stderr, unit.Printable(f.String()))
		if f.Hint != "" {
			fmt.Fprintln(a.stderr, "    "+unit.Printable(f.Hint))
		}
	}
}

// reason returns what is wrong with a file, without its name.
func reason(err error) string {
	var path *fs.PathError
	if errors.As(err, &path) {
		return path.Err.Error()
	}
	return err.Error()
}

// within turns a song that cannot be dealt, or was not, into a file that
// cannot be used.
func within(file string, err error) error {
	var undealt *deal.Error
	if errors.As(err, &undealt) {
		return &fileError{songName(file), undealt.Message, undealt.Hint}
	}
	return err
}
