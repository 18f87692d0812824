package files

import (
	"fmt"
	"os"
	"path/filepath"
)

// Error says why a file is not written.
type Error struct {
	Name          string // of the file, after the flag that it was given with
	Message, Hint string
	// Call is true where the call is at fault: an output that is an input, or a
	// folder. Else it is what the output lies on: no right, no room.
	Call bool
	err  error
}

func (e *Error) Error() string { return e.Name + ": " + e.Message }

// Unwrap returns what the system said; nil where it was not asked.
func (e *Error) Unwrap() error { return e.err }

// named is a file as messages call it: by its flag too, if it has one.
func named(flag, name string) string {
	if flag == "" {
		return name
	}
	return flag + " " + name
}

// Spare refuses an output that is one of the inputs, whatever the two are
// called: by another path, a link or a hard link, or not there yet. Flag is that
// of the output, such as -o. A character device is both in peace, as MIDI
// interfaces are. An input that is not there, or - for standard input, is none.
// The error is an *[Error] with Call set.
func Spare(flag, output string, inputs ...string) error {
	for _, input := range inputs {
		if same(output, input) {
			return &Error{Name: named(flag, output), Message: "this is also read, it would be lost", Hint: "give another name", Call: true}
		}
	}
	return nil
}

// same tells whether two names lead to the same file, or would once it is there.
func same(a, b string) bool {
	at, err := os.Stat(a)
	other, otherErr := os.Stat(b)
	if err == nil && otherErr == nil {
		return at.Mode()&os.ModeCharDevice == 0 && os.SameFile(at, other)
	}
	if err == nil || otherErr == nil {
		return false
	}
	there, err := resolve(a)
	elsewhere, otherErr := resolve(b)
	return err == nil && otherErr == nil && there == elsewhere
}

// mostLinks is how many links are followed in turn.
const mostLinks = 40

// resolve follows links to the file that a name stands for, which need not be
// there: a link that leads nowhere yet leads to where the file will be.
func resolve(name string) (string, error) {
	for range mostLinks {
		folder, err := filepath.EvalSymlinks(filepath.Dir(name))
		if err != nil {
			return "", err
		}
		if folder, err = filepath.Abs(folder); err != nil {
			return "", err
		}
		name = filepath.Join(folder, filepath.Base(name))
		next, err := os.Readlink(name)
		if err != nil {
			return name, nil // no link
		}
		if !filepath.IsAbs(next) {
			next = filepath.Join(folder, next)
		}
		name = next
	}
	return "", fmt.Errorf("more than %d links in turn", mostLinks)
}
