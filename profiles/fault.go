package profiles

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"choirloft/profiles/unit"
)

// Fault is one thing wrong with a rig file or with a profile it names.
type Fault struct {
	Pos     Pos
	Path    string // of the value, such as "banks.K.voices"; empty for the file
	Message string // what was found and what is allowed
	Hint    string // what to do about it; may be empty
}

// String returns the fault as "file:line:col: path: message", without its
// hint. Entries of lists count from 1 there, as in wiring (1st).from.
func (f Fault) String() string {
	if f.Path == "" {
		return fmt.Sprintf("%s:%d:%d: %s", f.Pos.File, f.Pos.Line, f.Pos.Column, f.Message)
	}
	return fmt.Sprintf("%s:%d:%d: %s: %s", f.Pos.File, f.Pos.Line, f.Pos.Column, unit.Place(f.Path), f.Message)
}

// Faults lists everything wrong with a rig, by file, line and column.
type Faults []Fault

// Error returns one line for each fault and an indented one for each hint.
func (fs Faults) Error() string {
	var b strings.Builder
	for i, f := range fs {
		if i > 0 {
			b.WriteByte('\n')
		}
		b.WriteString(f.String())
		if f.Hint != "" {
			b.WriteString("\n    " + f.Hint)
		}
	}
	return b.String()
}

// sort puts the faults in order and leaves one of any that are alike.
func (fs Faults) sort() Faults {
	slices.SortFunc(fs, func(a, b Fault) int {
		return cmp.Or(a.Pos.compare(b.Pos), cmp.Compare(a.Path, b.Path), cmp.Compare(a.Message, b.Message))
	})
	return slices.Compact(fs)
}
