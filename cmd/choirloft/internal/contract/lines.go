package contract

import (
	"fmt"
	"strconv"
	"strings"

	"choirloft/alloc"
	"choirloft/alloc/study"
	"choirloft/profiles/unit"
)

// Column is a column of a table of endings.
type Column struct {
	Head string
	Of   func(*Totals) string
}

// EndingColumns returns a column for each ending that some note had.
func (r *Result) EndingColumns() []Column {
	var columns []Column
	for e := range study.NumEndings {
		if r.Endings[e] == 0 {
			continue
		}
		columns = append(columns, Column{endingWords[e].head, func(t *Totals) string { return unit.Cell(t.Endings[e]) }})
	}
	return columns
}

// DemandLine sets what is wanted at once against the voices.
func (r *Result) DemandLine() string {
	d := &r.Demand
	what := unit.Count(d.Held, "note")
	if r.inUnison() { // each note counts as often as its unison takes voices
		what = unit.Count(d.Held, "voice") + " wanted for notes"
	}
	return fmt.Sprintf("At once, at most: %s held, %d with the pedal, %d with audible tails; %s in service.",
		what, d.Pedal, d.Audible, unit.Count(d.Voices, "voice"))
}

// RuleLines says on what and by which rules the parts play: one line for
// parts that agree.
func (r *Result) RuleLines() []string {
	if r.Dealt {
		return []string{"Every voice plays what it was dealt, on its own channel"}
	}
	var rules []string
	parts := map[string][]string{}
	for i := range r.Parts {
		p := &r.Parts[i]
		text := p.rules()
		if _, ok := parts[text]; !ok {
			rules = append(rules, text)
		}
		parts[text] = append(parts[text], p.Name)
	}
	for i, text := range rules {
		who := "Part "
		if len(parts[text]) > 1 {
			who = "Parts "
		}
		rules[i] = who + unit.List(parts[text]) + " " + text
	}
	return rules
}

func (p *Part) rules() string {
	text := fmt.Sprintf("on %s (%s): pick %s, steal %s, tails %s, %s", p.bankList(), unit.Count(p.Voices, "voice"), p.Pick, p.Steal, p.Tails, p.SameKey)
	if !p.ClassOrder {
		text += ", class order off"
	}
	return text + p.player()
}

// player says what a part has beyond chords of one voice a note.
func (p *Part) player() string {
	text := ""
	if p.Mode != "poly" {
		text += ", " + p.Mode
		if p.Reattack != "none" {
			text += " with re-attack on " + p.Reattack
		}
	}
	if p.Unison.Voices > 1 {
		text += fmt.Sprintf(", unison of %d (%s)", p.Unison.Voices, p.Unison.WhenShort)
	}
	if p.Reserve > 0 {
		text += fmt.Sprintf(", %d reserved", p.Reserve)
	}
	if p.Limit != nil {
		text += fmt.Sprintf(", at most %d", *p.Limit)
	}
	if p.Priority != 1 {
		text += fmt.Sprintf(", priority %d", p.Priority)
	}
	return text
}

// FlagLines says what is odd about the song or about how it was played, each
// in a line; what did not happen has none.
func (r *Result) FlagLines() []string {
	f := &r.Flags
	var lines []string
	add := func(n int, what, rest string) {
		if n > 0 {
			lines = append(lines, unit.Count(n, what)+" "+rest)
		}
	}
	add(f.Unmapped, "note-on", "that no part takes, on "+unit.List(r.UnmappedFrom))
	for i := range r.Parts {
		if line := r.Parts[i].clampLine(); line != "" {
			lines = append(lines, line)
		}
	}
	add(f.Swallowed, "note", "swallowed by the off of the note before on the same key: "+r.bars("swallowed", 8))
	add(f.Late-r.Waited, "note", "late, by up to "+unit.Span(r.latestGapS)+", where a gate must go low first")
	add(r.Waited, "note", "late, by up to "+unit.Span(r.LongestWaitS)+", waiting for the voices of a unison: "+r.bars("waited", 8))
	add(f.Stuck, "note", "stuck, without an off, held to the end of the song: from "+r.bars("stuck", 8))
	add(f.Orphan, "orphan off", "without a note to end, ignored")
	add(f.ZeroLength, "note", "of no length, held for the shortest gate: "+r.bars("zero_length", 8))
	add(f.Thinned, "note", r.thinnest())
	return lines
}

// thinnest says how the note was thinned that lost most, and where notes were.
func (r *Result) thinnest() string {
	var worst *Mark
	for i := range r.Marks {
		if m := &r.Marks[i]; m.Flag == "thinned" && (worst == nil || *m.Value < *worst.Value) {
			worst = m
		}
	}
	if worst == nil {
		return ""
	}
	return fmt.Sprintf("thinned, at most to %d of %d (%s): %s", *worst.Voices, *worst.Of, unit.Level(worst.Value), r.bars("thinned", 8))
}

// WarningLines tells of what was wrong with the song's file: how much, and the
// first n.
func (s *Song) WarningLines(n int) []string {
	if s.WarningsTotal == 0 {
		return nil
	}
	lines := []string{unit.Count(s.WarningsTotal, "oddity in the file") + ":"}
	if s.WarningsTotal > 1 {
		lines[0] = strconv.Itoa(s.WarningsTotal) + " oddities in the file, the first:"
	}
	for _, w := range s.Warnings[:min(n, len(s.Warnings))] {
		lines = append(lines, fmt.Sprintf("  byte %d: %s", w.Offset, w.Message))
	}
	return lines
}

// LossLine introduces the first n losses.
func (r *Result) LossLine(n int) string {
	what := "losses"
	if r.Damaged == 0 {
		what = "audible cuts"
	}
	if len(r.Losses) <= n {
		return "All " + what + ", the worst first:"
	}
	return fmt.Sprintf("The worst %d of %d %s:", n, len(r.Losses), what)
}

// What names the key and, for the bass or the top of a chord, says so.
func (l *Loss) What() string {
	text := fmt.Sprintf("%s (%d)", l.KeyName, l.Key)
	if l.Outer {
		text += " outer"
	}
	return text
}

// Who names the note that took the voice.
func (l *Loss) Who() string {
	if l.ByKey == nil {
		return unit.None
	}
	by := fmt.Sprintf("%s (%d)", *l.ByKeyName, *l.ByKey)
	if *l.ByPart != l.Part {
		by += " " + *l.ByPart
	}
	return by
}

// On names the voice.
func (l *Loss) On() string {
	if l.VoiceName == nil {
		return unit.None
	}
	return *l.VoiceName
}

// Serving returns the voices in service.
func (r *Result) Serving() []*Voice {
	var voices []*Voice
	for i := range r.Voices {
		if v := &r.Voices[i]; v.serves() {
			voices = append(voices, v)
		}
	}
	return voices
}

func (v *Voice) serves() bool {
	return v.State == stateNames[alloc.In] || v.State == stateNames[alloc.Limited]
}

// RestLine names the voices that are not in service; empty if all are.
func (r *Result) RestLine() string {
	const most = 12
	var names []string
	for i := range r.Voices {
		if v := &r.Voices[i]; !v.serves() {
			names = append(names, v.Name)
		}
	}
	switch {
	case len(names) == 0:
		return ""
	case len(names) > most:
		return "Not in service: " + unit.Count(len(names), "voice") + "."
	}
	return "Not in service: " + unit.List(names) + "."
}

func (p *Part) bankList() string {
	if len(p.Banks) > 8 {
		return unit.Count(len(p.Banks), "bank")
	}
	return strings.Join(p.Banks, " ")
}

// AtOnce is the most that a part wants at once: held, with the pedal and with
// audible tails.
func (t *Totals) AtOnce() string {
	return fmt.Sprintf("%d/%d/%d", t.Demand.Held, t.Demand.Pedal, t.Demand.Audible)
}
