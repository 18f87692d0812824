package contract

import (
	"choirloft/profiles/unit"
	"strconv"
	"strings"
)

// CurveTable has a row for each number of voices that a page shows, with the
// costs of the rules by the letters of [SizeResult.RuleLegend].
func (s *SizeResult) CurveTable() Table {
	t := Table{Columns: []TableColumn{{"Voices", 6, true}, {"Must damage", 6, true}, {"Must lose", 8, true}}}
	for i := range s.ShownRules() {
		letter := string(rune('A' + i))
		t.Columns = append(t.Columns, TableColumn{letter + ": damaged", 8, true}, TableColumn{"tails", 6, true}, TableColumn{"loudest", 8, true})
	}
	t.Columns = append(t.Columns, TableColumn{"", 10, false})
	for _, p := range s.Rows() {
		cells := []string{strconv.Itoa(p.Voices), unit.Cell(p.FewestDamaged), unit.Span(p.UnavoidableS)}
		for _, c := range s.Shown(p) {
			cells = append(cells, unit.Cell(c.Damaged), unit.Cell(c.TailCuts), unit.Level(c.LoudestCutDB))
		}
		t.add("", append(cells, s.Mark(p))...)
	}
	return t
}

// RuleLegend says which letters stand for which rules.
func (s *SizeResult) RuleLegend() string {
	var words []string
	for i, name := range s.ShownRules() {
		words = append(words, string(rune('A'+i))+": "+name)
	}
	return strings.Join(words, "; ") + "."
}

// FixTable lists the n remedies that are shown first.
func (s *SizeResult) FixTable(n int) Table {
	t := Table{Columns: []TableColumn{{"Damaged", 7, true}, {"Legato", 6, true}, {"Tails", 5, true}, {"Loudest", 8, true}, {"Asks", 8, false}, {"What to do", 30, false}}}
	for _, f := range s.ShownFixes(n) {
		t.add("", unit.Cell(f.After.Beyond()), unit.Cell(f.After.OverlapOnly), unit.Cell(f.After.TailCuts), unit.Level(f.After.LoudestCutDB), f.Asks, f.Text)
	}
	return t
}
