package contract

import (
	"fmt"
	"slices"

	"choirloft/alloc"
	"choirloft/profiles"
	"choirloft/profiles/unit"
	"choirloft/routing"
	"choirloft/routing/plan"
)

// NewCheck returns what there is to say about a plan, and what songs add.
func NewCheck(p *plan.Plan, songs []CheckSong, failed []Failure) *Check {
	c := &Check{Version: Version, Rig: p.Rig.Name, Fingerprint: p.Code(), Findings: newFindings(p.Findings),
		Supplies: newSupplies(p.Rig, p.Rack), Rows: newRows(p.Rig, p.Rack),
		Levels: newLevels(p.Rig, p.Levels), Songs: songs, Failed: failed, Bought: newPurchase(p.Bought, nil)}
	_, c.LevelsGiven = p.Rig.Given("levels")
	if c.Songs == nil {
		c.Songs = []CheckSong{}
	}
	if c.Failed == nil {
		c.Failed = []Failure{}
	}
	c.Voices, c.Banks, c.Parts = newStandings(p.Rig), len(p.Rig.Banks), len(p.Rig.Parts)
	c.Assumed = assumedIn(p.Rig)
	return c
}

// assumedIn names the values that pitches and tails rest on and that nobody gave.
func assumedIn(rig *profiles.Rig) []string {
	names := []string{}
	add := func(s Source, what, of string) {
		if s == Assumed {
			names = append(names, what+" of "+of)
		}
	}
	for _, i := range newInterfaces(rig) {
		add(i.RangeSource, "CV range", i.Name)
		if i.ZeroKey != nil {
			add(i.ZeroKeySource, "key at 0 V", i.Name)
		}
	}
	for i := range rig.Kinds {
		k := &rig.Kinds[i]
		if slices.ContainsFunc(rig.Banks, func(b profiles.Bank) bool { return b.Kind == i }) {
			if slices.ContainsFunc(rig.Banks, func(b profiles.Bank) bool { return b.Kind == i && unmeasuredRelease(rig, &b) }) {
				add(kindSource(rig, k, profiles.MeasuredRelease), "release", k.Name)
			}
			if !slices.ContainsFunc(rig.Corrections, func(c profiles.Correction) bool {
				return c.Drift != nil && rig.Banks[rig.Voices[c.Voice].Bank].Kind == i
			}) {
				add(kindSource(rig, k, profiles.MeasuredDrift), "drift", k.Name)
			}
		}
	}
	var unheard []string
	for i := range rig.Voices {
		kind := &rig.Kinds[rig.Banks[rig.Voices[i].Bank].Kind]
		if rig.Voices[i].State != alloc.Out && voiceRelease(rig, i) != kindSource(rig, kind, profiles.MeasuredRelease) && !measuredRelease(rig, i) {
			unheard = append(unheard, rig.Voices[i].Name)
		}
	}
	if len(unheard) > 0 {
		names = append(names, "release of "+unit.First(unheard, 4)+", as others of the kind")
	}
	return names
}

// unmeasuredRelease tells whether a bank has a voice in service whose own release nobody
// measured, so that it has that of its kind.
func unmeasuredRelease(rig *profiles.Rig, b *profiles.Bank) bool {
	for v := b.First; v < b.First+b.Size; v++ {
		if rig.Voices[v].State != alloc.Out && !measuredRelease(rig, v) {
			return true
		}
	}
	return false
}

// Errors tells whether the plan, or what a song adds, has errors.
func (c *Check) Errors() bool {
	isError := func(f Finding) bool { return f.Severity == routing.Error.String() }
	return slices.ContainsFunc(c.Findings, isError) ||
		slices.ContainsFunc(c.Songs, func(s CheckSong) bool { return slices.ContainsFunc(s.Findings, isError) })
}

// Standings counts the voices of a rig by their state.
type Standings struct {
	All     int `json:"all"`
	Out     int `json:"out"`
	Limited int `json:"limited"`
	Spare   int `json:"spare"`
}

func newStandings(rig *profiles.Rig) Standings {
	s := Standings{All: len(rig.Voices)}
	for _, v := range rig.Voices {
		switch v.State {
		case alloc.Out:
			s.Out++
		case alloc.Limited:
			s.Limited++
		case alloc.Spare:
			s.Spare++
		}
	}
	return s
}

func newFindings(from []routing.Finding) []Finding {
	findings := make([]Finding, len(from))
	for i, f := range from {
		findings[i] = Finding{
			Code: string(f.Code), Severity: f.Severity.String(), Where: f.Where, Text: f.Text,
			Value: f.Value, Assumed: f.Assumed,
			Unit: optional(f.Unit), Hint: optional(f.Hint), Facts: make([]Fact, len(f.Facts)),
		}
		for j, x := range f.Facts {
			findings[i].Facts[j] = Fact{x.Name, x.Word(), optional(x.Of), append([]string{}, x.Names...), x.Value, optional(x.Unit), x.Assumed}
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

// Codes explains codes of findings.
type Codes struct {
	Version int    `json:"version"`
	Codes   []Code `json:"codes"`
}

// Code explains one code of a finding.
type Code struct {
	Code     string `json:"code"`
	Severity string `json:"severity"` // its usual one
	Meaning  string `json:"meaning"`
	WayOut   string `json:"way_out"`
}

// NewCodes explains these codes.
func NewCodes(codes []routing.CodeInfo) *Codes {
	c := &Codes{Version: Version, Codes: make([]Code, len(codes))}
	for i, x := range codes {
		c.Codes[i] = Code{string(x.Code), x.Severity.String(), x.Meaning, x.WayOut}
	}
	return c
}
