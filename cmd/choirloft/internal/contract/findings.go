package contract

import (
	"fmt"
	"slices"
	"strings"

	"choirloft/profiles"
	"choirloft/profiles/unit"
	"choirloft/routing"
	"choirloft/routing/plan"
)

// NewCheck returns what there is to say about a plan, and what songs add.
func NewCheck(p *plan.Plan, songs []CheckSong, failed []Failure) *Check {
	c := &Check{Version: Version, Rig: p.Rig.Name, Fingerprint: p.Rig.Fingerprint(), Findings: newFindings(p.Findings),
		Supplies: newSupplies(p.Rig, p.Rack), Rows: newRows(p.Rig, p.Rack),
		Levels: newLevels(p.Rig, p.Levels), Songs: songs, Failed: failed}
	_, c.leveled = p.Rig.Given("levels")
	if c.Songs == nil {
		c.Songs = []CheckSong{}
	}
	if c.Failed == nil {
		c.Failed = []Failure{}
	}
	c.Summary = fmt.Sprintf("%s: %s; %s in %s, %s", label(p.Rig), counts(p.Findings),
		voiceCount(p.Rig), unit.Count(len(p.Rig.Banks), "bank"), unit.Count(len(p.Rig.Parts), "part"))
	return c
}

// Errors tells whether the plan, or what a song adds, has errors.
func (c *Check) Errors() bool {
	isError := func(f Finding) bool { return f.Severity == routing.Error.String() }
	return slices.ContainsFunc(c.Findings, isError) ||
		slices.ContainsFunc(c.Songs, func(s CheckSong) bool { return slices.ContainsFunc(s.Findings, isError) })
}

// counts says how many findings of each severity there are.
func counts(findings []routing.Finding) string {
	n := map[routing.Severity]int{}
	for _, f := range findings {
		n[f.Severity]++
	}
	var words []string
	for _, x := range []struct {
		severity routing.Severity
		what     string // a note would be taken for one of a song
	}{{routing.Error, "error"}, {routing.Warning, "warning"}, {routing.Note, "remark"}} {
		if n[x.severity] > 0 {
			words = append(words, unit.Count(n[x.severity], x.what))
		}
	}
	if n[routing.Error]+n[routing.Warning] == 0 {
		words = append([]string{"nothing wrong"}, words...)
	}
	return strings.Join(words, ", ")
}

// voiceCount says how many voices there are and how many do not serve.
func voiceCount(rig *profiles.Rig) string {
	idle := map[string]int{}
	for _, v := range rig.Voices {
		idle[stateNames[v.State]]++
	}
	text := unit.Count(len(rig.Voices), "voice")
	var words []string
	for _, state := range stateNames[1:] {
		if idle[state] > 0 {
			words = append(words, fmt.Sprintf("%d %s", idle[state], state))
		}
	}
	if len(words) == 0 {
		return text
	}
	return text + " (" + strings.Join(words, ", ") + ")"
}

func newFindings(from []routing.Finding) []Finding {
	findings := make([]Finding, len(from))
	for i, f := range from {
		findings[i] = Finding{
			Code: string(f.Code), Severity: f.Severity.String(), Where: f.Where, Text: f.Text,
			Value: f.Value, Assumed: f.Assumed,
			Unit: optional(f.Unit), Hint: optional(f.Hint),
		}
		if !f.Pos.IsZero() {
			findings[i].At = optional(fmt.Sprintf("%s:%d:%d", f.Pos.File, f.Pos.Line, f.Pos.Column))
		}
	}
	return findings
}

// optional returns nil for an empty text.
func optional(text string) *string {
	if text == "" {
		return nil
	}
	return &text
}
