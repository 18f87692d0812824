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

// curveTable has a row for each number of voices that is shown: what is lost and
// heard by the rules of the rig. Beyond a screen the losses by other rules follow, each
// under its letter.
func (s size) curveTable(room Room, rows int) doc.Table {
	names := RuleNames(s.SizeResult)
	if room == Screen {
		names = names[:1]
	}
	t := doc.Table{Columns: []doc.Column{number("voices"), number("cut or dropped"), number("best possible"),
		number("seconds heard"), number("seconds plain"), number("heard losses").Ranked(1), number("tails cut").Ranked(2), number("loudest").Ranked(4),
		number("best possible lost").Ranked(6), number("more audible").Ranked(5)}}
	for i, name := range names[1:] {
		at := RuleLetter(i + 1)
		t.Columns = append(t.Columns, under(at, number("cut or dropped")).Ranked(3).Means(name+"."),
			under(at, number("tails cut")).Ranked(7), under(at, number("loudest")).Ranked(8))
	}
	t.Columns = append(t.Columns, marks())
	wanted := rowsOf(s.last(), rows, rows, s.matter(), func(n int) bool { return s.point(n) != nil })
	for i := range s.Curve {
		p := &s.Curve[i]
		if !wanted[p.Voices] {
			continue
		}
		cells := slices.Concat([]string{strconv.Itoa(p.Voices), unit.Cell(p.Own.Damaged), unit.Cell(p.FewestDamaged)}, heardCells(p.Heard)[:3],
			[]string{unit.Cell(p.Own.TailCuts), unit.Level(p.Own.LoudestCutDB), unit.Span(p.UnavoidableS), unit.Percent(p.AboveAudible)})
		for _, c := range s.Shown(p)[1:len(names)] {
			cells = append(cells, costCells(c)...)
		}
		t.Row("", append(cells, CurveMark(s.SizeResult, p))...)
	}
	return t.WithoutEmpty("")
}

// matter are the numbers of voices to show, the most important first.
func (s size) matter() (all []int) {
	e := &s.Enough
	all = []int{s.Voices}
	if n := byEar(&s.Demand); n != nil {
		all = append(all, *n)
		if plain := s.Demand.PlainNone; plain != nil {
			all = append(all, *plain)
		}
	}
	return append(all, e.Pedal, e.Audible, e.Held, e.Pedal-1, s.Voices+s.BankSize, s.Voices-s.BankSize, e.Audible-1)
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
	type mark struct {
		n    int
		what string
	}
	all := []mark{{s.Enough.Held, "keys"}, {s.Enough.Pedal, "pedal"}, {s.Enough.Audible, "tails"}}
	if n := byEar(&s.Demand); n != nil {
		if plain := s.Demand.PlainNone; plain != nil && *plain < *n {
			all = append(all, mark{*plain, "nothing plain"})
		}
		all = append(all, mark{*n, "nothing heard"})
	}
	for _, m := range append(all, mark{s.Voices, "in service"}) {
		if m.n == p.Voices {
			words = append(words, m.what)
		}
	}
	if s.Enough.Held == s.Enough.Pedal {
		words = slices.DeleteFunc(words, func(w string) bool { return w == "pedal" })
	}
	return strings.Join(words, ", ")
}
