package say

import (
	"slices"
	"strconv"
	"strings"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/profiles/unit"
)

// mostRows is how many rows of a curve are shown.
const mostRows = 12

// rowsOf chooses rows of a curve that ends at last and has some numbers of voices:
// those that matter, the most important first, and up to fill evenly spaced ones
// between.
func rowsOf(last, most, fill int, matter []int, has func(voices int) bool) map[int]bool {
	wanted := map[int]bool{}
	mark := func(n int) {
		if n >= 1 && n <= last && len(wanted) < most && has(n) {
			wanted[n] = true
		}
	}
	for _, n := range matter {
		mark(n)
	}
	for step := max(1, (last+fill-1)/fill); len(wanted) < min(fill, last) && step > 0; step-- {
		for n := step; n <= last; n += step {
			mark(n)
		}
	}
	return wanted
}

// curveTable has a row for each number of voices that is shown, with the losses
// by the rules, each under its letter.
func (s size) curveTable(rows int) doc.Table {
	t := doc.Table{Columns: []doc.Column{number("voices"), number("best possible"), number("best possible lost").Ranked(4),
		number("more audible").Ranked(3)}}
	for i, name := range RuleNames(s.SizeResult) {
		at := RuleLetter(i)
		ranks := []int{2, 5, 6} // of other rules the notes, then the tails
		if i == 0 {
			ranks = []int{0, 0, 1}
		}
		t.Columns = append(t.Columns, under(at, number("cut or dropped")).Ranked(ranks[0]).Means(name+"."),
			under(at, number("tails cut")).Ranked(ranks[1]), under(at, number("loudest")).Ranked(ranks[2]))
	}
	t.Columns = append(t.Columns, marks())
	e := s.Enough
	wanted := rowsOf(s.last(), rows, rows,
		[]int{s.Voices, e.Pedal, e.Audible, e.Held, e.Pedal - 1, s.Voices + s.BankSize, s.Voices - s.BankSize, e.Audible - 1},
		func(n int) bool { return s.point(n) != nil })
	for i := range s.Curve {
		p := &s.Curve[i]
		if !wanted[p.Voices] {
			continue
		}
		cells := []string{strconv.Itoa(p.Voices), unit.Cell(p.FewestDamaged), unit.Span(p.UnavoidableS), unit.Percent(p.AboveAudible)}
		for _, c := range s.Shown(p) {
			cells = append(cells, costCells(c)...)
		}
		t.Row("", append(cells, CurveMark(s.SizeResult, p))...)
	}
	return t
}

// RuleNames names the rules of the curve that are shown: those of the rig, then
// the rulesets.
func RuleNames(s *contract.SizeResult) []string {
	names := []string{rules(s.OwnRules)}
	for _, i := range s.ShownRules {
		names = append(names, rules(&s.Curve[0].Rules[i].RulesName))
	}
	return names
}

// RuleLetter is the letter that stands for the rules of a curve, by their place
// in [RuleNames].
func RuleLetter(rule int) string { return string(rune('A' + rule)) }

// CurveMark says what a row of the curve stands for; empty for nothing of note.
func CurveMark(s *contract.SizeResult, p *contract.SizePoint) string {
	var words []string
	for _, m := range []struct {
		n    int
		what string
	}{{s.Enough.Held, "keys"}, {s.Enough.Pedal, "pedal"}, {s.Enough.Audible, "tails"}, {s.Voices, "in service"}} {
		if m.n == p.Voices {
			words = append(words, m.what)
		}
	}
	if s.Enough.Held == s.Enough.Pedal {
		words = slices.DeleteFunc(words, func(w string) bool { return w == "pedal" })
	}
	return strings.Join(words, ", ")
}
