package say

import (
	"fmt"
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
// heard by the rules of the rig, and a row for the rig as it is where it loses other
// notes than as many identical voices. Beyond a screen the losses by other rules follow,
// each under its letter.
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
	apart := s.apart()
	for i := range s.Curve {
		p := &s.Curve[i]
		if !wanted[p.Voices] {
			continue
		}
		mark, heard := CurveMark(s.SizeResult, p), p.Heard
		if p.Voices == s.Voices && apart {
			t.Row("", slices.Concat(curveCells(p, &s.Now, s.NowHeard), make([]string, 3*len(names[1:])), []string{inService})...)
			mark = strings.TrimSuffix(mark, inService) + "identical voices"
		} else if p.Voices == s.Voices && s.NowHeard != nil {
			heard = s.NowHeard
		}
		cells := curveCells(p, &p.Own, heard)
		for _, c := range s.Shown(p)[1:len(names)] {
			cells = append(cells, costCells(c)...)
		}
		t.Row("", append(cells, mark)...)
	}
	return t.WithoutEmpty("")
}

// curveCells are what a run on so many voices loses, beside what holds for all such runs.
func curveCells(p *contract.SizePoint, c *contract.Cost, heard *contract.HeardFigures) []string {
	return slices.Concat([]string{strconv.Itoa(p.Voices), unit.Cell(c.Damaged), unit.Cell(p.FewestDamaged)}, heardCells(heard)[:3],
		[]string{unit.Cell(c.TailCuts), unit.Level(c.LoudestCutDB), unit.Span(p.UnavoidableS), unit.Percent(p.AboveAudible)})
}

// apart tells whether the rig as it is loses other notes than as many identical voices.
func (s size) apart() bool {
	p := s.point(s.Voices)
	if p == nil {
		return false
	}
	own, now := p.Own, s.Now
	return own.Damaged != now.Damaged || own.Dropped != now.Dropped || own.LostGateS != now.LostGateS || own.TailCuts != now.TailCuts ||
		p.Heard != nil && s.NowHeard != nil && (p.Heard.FaintS != s.NowHeard.FaintS || p.Heard.PlainS != s.NowHeard.PlainS)
}

// partsLine says what the parts may use where the rig as it is has a row of its own.
func (s size) partsLine() string {
	if !s.apart() {
		return ""
	}
	return "In service is the rig as it is" + s.uses() + ". Other rows are identical voices that all parts share."
}

// uses says how many voices each part may use; of many parts the fewest and the most.
func (s size) uses() string {
	var names [][]string
	var voices []int
	for _, p := range s.MayUse {
		i := slices.Index(voices, p.Voices)
		if i < 0 {
			i, voices, names = len(voices), append(voices, p.Voices), append(names, nil)
		}
		names[i] = append(names[i], p.Part)
	}
	switch {
	case len(s.MayUse) < 2:
		return ""
	case len(voices) == 1:
		return ": each part may use " + unit.Count(voices[0], "voice")
	case len(s.MayUse) > 6:
		return fmt.Sprintf(": a part may use %d to %d voices", slices.Min(voices), slices.Max(voices))
	}
	words := []string{unit.List(names[0]) + " may use " + unit.Count(voices[0], "voice")}
	for i, n := range voices[1:] {
		words = append(words, unit.List(names[i+1])+" "+strconv.Itoa(n))
	}
	return ": " + strings.Join(words, ", ")
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
	for _, n := range []*int{s.EnoughOwn.Undamaged, s.EnoughOwn.Untouched} {
		if n != nil {
			all = append(all, *n)
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

// inService marks the voices in service, and the last of the marks of a row.
const inService = "in service"

// CurveMark says what a row of the curve stands for, in the words of what so many voices are
// enough for; empty for nothing of note.
func CurveMark(s *contract.SizeResult, p *contract.SizePoint) string {
	var words []string
	type mark struct {
		n    *int
		what string
	}
	all := []mark{{s.EnoughOwn.Undamaged, "whole notes"}, {s.EnoughOwn.Untouched, "every tail"}}
	if n := byEar(&s.Demand); n != nil {
		if plain := s.Demand.PlainNone; plain != nil && *plain < *n {
			all = append(all, mark{plain, "nothing plain"})
		}
		all = append(all, mark{n, "nothing heard"})
	}
	for _, m := range append(all, mark{&s.Voices, inService}) {
		if m.n != nil && *m.n == p.Voices {
			words = append(words, m.what)
		}
	}
	if len(words) > 1 && words[1] == all[1].what { // of which whole notes are a part
		words = words[1:]
	}
	return strings.Join(words, ", ")
}
