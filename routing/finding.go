// Package routing says what is wrong, or doubtful, about the way a rig is put
// together. What it has to say are findings: data about a plan, with a code
// that stays the same from version to version. Faults in a file are not
// findings (profiles has those), and neither are operations that failed.
package routing

import (
	"cmp"
	"slices"
	"strings"

	"choirloft/profiles"
)

// Finding is one thing to say about a plan.
type Finding struct {
	Code  Code
	Where string       // path in the rig, such as "parts.pad.banks"
	Pos   profiles.Pos // where the rig says it; zero if no file does
	Facts []Fact       // the names and numbers that it is about
	Text  string       // what was found, in words: those of its facts
	Value *float64     // the number that it is about, if there is one
	Unit  string       // of Value; empty for a plain count
	// Assumed: it rests on a number that was not measured but assumed.
	Assumed bool
	Hint    string // what to do about it, in the words of its facts; may be empty
	// Severity is that of the code, unless it is set to a milder one.
	Severity Severity
}

// Severity says how bad a finding is.
type Severity uint8

// The severities, the worst first.
const (
	Error   Severity = iota // the plan cannot work as it is
	Warning                 // it works, but not as someone may expect
	Note                    // good to know
)

var severityNames = [...]string{Error: "error", Warning: "warning", Note: "note"}

func (s Severity) String() string { return severityNames[s] }

// Sort puts findings in order, in place: by severity, then by place in the
// rig file, then by path and code.
func Sort(findings []Finding) {
	slices.SortStableFunc(findings, func(a, b Finding) int {
		return cmp.Or(
			cmp.Compare(a.Severity, b.Severity),
			cmp.Compare(a.Pos.File, b.Pos.File),
			cmp.Compare(a.Pos.Line, b.Pos.Line),
			cmp.Compare(a.Pos.Column, b.Pos.Column),
			strings.Compare(a.Where, b.Where),
			strings.Compare(string(a.Code), string(b.Code)),
			strings.Compare(a.Text, b.Text),
		)
	})
}

// Worst returns the worst severity among findings; ok is false without any.
func Worst(findings []Finding) (worst Severity, ok bool) {
	worst = Note
	for _, f := range findings {
		worst = min(worst, f.Severity)
	}
	return worst, len(findings) > 0
}
