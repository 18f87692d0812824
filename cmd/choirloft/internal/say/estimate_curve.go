package say

import (
	"strconv"
	"strings"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/profiles/unit"
)

// curveTable sets theory beside what was played, a row for each number of voices
// that is shown.
func (e estimate) curveTable() doc.Table {
	t := doc.Table{Columns: []doc.Column{number("voices"), number("best possible").Ranked(1),
		under("Refusing", number("refused one by one")).Ranked(4), under("Refusing", number("played")).Ranked(5), under("Oldest", number("stolen one by one")).Ranked(2),
		under("Oldest", number("chords")), under("Oldest", number("played")).Ranked(3),
		under("Own rules", number("played")).Means(rules(e.OwnRules) + "."), under("Own rules", number("tails cut")), marks()}}
	wanted := rowsOf(e.last(), mostRows+2, mostRows, e.matter(), func(n int) bool { return e.point(n) != nil })
	for i := range e.Curve {
		if p := &e.Curve[i]; wanted[p.Voices] {
			t.Row("", strconv.Itoa(p.Voices), shareCell(p.MustDamage), shareCell(p.ErlangB), playedCell(&p.Refusing), shareCell(p.Poisson),
				shareCell(p.Chords), playedCell(&p.Oldest), playedCell(&p.Own), shareCell(p.Own.TailShare), e.mark(p))
		}
	}
	return t
}

// matter are the numbers of voices that matter, the most important first.
func (e estimate) matter() []int {
	all := []int{e.Voices}
	for i := range e.Enough {
		for _, n := range []*int{e.Enough[i].Chords, e.Enough[i].Tails} {
			if n != nil {
				all = append(all, *n)
			}
		}
	}
	return append(all, e.Voices+e.BankSize, e.Voices-e.BankSize)
}

// mark says what a row of the curve stands for.
func (e estimate) mark(p *contract.EstimatePoint) string {
	var words []string
	for i := range e.Enough {
		n := &e.Enough[i]
		for _, m := range []struct {
			n    *int
			what string
		}{{n.Chords, levelWords(n.AtMost)}, {n.Tails, levelWords(n.AtMost) + " tails"}} {
			if m.n != nil && *m.n == p.Voices {
				words = append(words, m.what)
			}
		}
	}
	if p.Voices == e.Voices {
		words = append(words, "in service")
	}
	return strings.Join(words, ", ")
}

// share prints a share (0–1) in per cent as finely as its size asks for: from
// 1 % on to 0.1 %, below to 0.01 %; 0 as a dash.
func share(v float64) string {
	switch {
	case v == 0:
		return unit.None
	case v < 0.00005:
		return "<0.01 %"
	}
	return shareDigits(v, v) + " %"
}

// shareCell prints a share for a table in per cent, which says so itself.
func shareCell(v float64) string { return strings.TrimSuffix(share(v), " %") }

// playedCell prints a share with its standard error in the same way.
func playedCell(p *contract.PlayedCost) string { return strings.TrimSuffix(shareWithin(p), " %") }

// shareWithin prints a share with its standard error.
func shareWithin(p *contract.PlayedCost) string {
	if p.Share < 0.00005 {
		return share(p.Share)
	}
	return shareDigits(p.Share, p.Share) + " ±" + shareDigits(p.StandardError, p.Share) + " %"
}

// shareDigits prints a share as finely as another one of its size.
func shareDigits(v, size float64) string {
	digits := 1
	if size < 0.00995 {
		digits = 2
	}
	return strconv.FormatFloat(v*100, 'f', digits, 64)
}
