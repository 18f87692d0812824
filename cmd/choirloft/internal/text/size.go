package text

import (
	"encoding/csv"
	"io"
	"strconv"
	"strings"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/profiles/unit"
)

// mostFixes is how many remedies are shown, mostWorse how many warnings.
const (
	mostFixes = 6
	mostWorse = 3
)

// Size writes the view of one song: the answer first, then what to make of it,
// the curve, and what would help.
func Size(w io.Writer, s *contract.Size, o Options) error {
	p := newPage(o)
	p.answer(s.Summary, sizeTone(&s.SizeResult))
	p.hanging(s.Advice...)
	if s.Song.Notes > 0 {
		p.hanging(s.ShortLine(6))
		p.gap()
		p.curve(&s.SizeResult)
		p.fixes(&s.SizeResult)
		p.sensitivity(s.Sensitivity)
		p.drill(&s.SizeResult)
		p.byPart(&s.SizeResult)
		p.racks(s.Racks)
	}
	if warnings := s.Song.WarningLines(3); len(warnings) > 0 {
		p.gap()
		p.hanging(warnings...)
	}
	return p.flush(w)
}

func sizeTone(s *contract.SizeResult) colour {
	switch {
	case s.Now.Damaged > 0:
		return red
	case s.Now.TailCuts > 0 || s.Now.LostGateS > 0:
		return yellow
	}
	return green
}

// letters name the columns of the curve.
const letters = "ABCDEFGH"

func (p *page) curve(s *contract.SizeResult) {
	rules := s.ShownRules()
	heads := []string{" Voices", " Must\ndamage", " Must\nlose", " Tails\nabove"}
	for i := range rules {
		heads = append(heads, " "+letters[i:i+1]+":\ndamaged", " tails", " loudest")
	}
	g := newGrid(append(heads, "")...)
	for _, row := range s.Rows() {
		cells := []string{strconv.Itoa(row.Voices), unit.Cell(row.FewestDamaged), unit.Span(row.UnavoidableS), unit.Percent(row.AboveAudible)}
		for _, c := range s.Shown(row) {
			cells = append(cells, costCells(c)...)
		}
		g.add(append(cells, s.Mark(row))...)
	}
	p.lines(g.lines()...)
	p.hanging(s.RuleLegend() + " Tails above: share of the time in which more are audible.")
}

func costCells(c *contract.Cost) []string {
	return []string{unit.Cell(c.Damaged), unit.Cell(c.TailCuts), unit.Level(c.LoudestCutDB)}
}

func (p *page) fixes(s *contract.SizeResult) {
	if len(s.Fixes) == 0 && s.WorseLine(mostWorse) == "" {
		return
	}
	p.gap()
	if len(s.Fixes) > 0 {
		p.sentences("What would help, the cheapest that saves most first:")
		g := newGrid(" Dam-\naged", "  Le-\ngato", " Tails", " Loudest", "Asks", "What to do")
		for _, f := range s.ShownFixes(mostFixes) {
			what, with := f.Text, flags(f.Flags)
			if short := what + ": " + with; len(short) <= 56 {
				what, with = short, ""
			}
			g.add(unit.Cell(f.After.Beyond()), unit.Cell(f.After.OverlapOnly), unit.Cell(f.After.TailCuts),
				unit.Level(f.After.LoudestCutDB), f.Asks, what)
			if with != "" {
				g.add("", "", "", "", "", "  "+with)
			}
		}
		p.lines(g.lines()...)
	}
	p.hanging(s.WorseLine(mostWorse), s.TriedLine())
}

// flags writes flags as one would type them.
func flags(words []string) string {
	typed := make([]string, len(words))
	for i, w := range words {
		typed[i] = w
		if strings.ContainsAny(w, " ") {
			typed[i] = strconv.Quote(w)
		}
	}
	return strings.Join(typed, " ")
}

func (p *page) sensitivity(list []contract.Variation) {
	if len(list) == 0 {
		return
	}
	p.gap()
	p.sentences("One thing changed at a time (* as it is):")
	g := newGrid("What", "", "", " Damaged", " Lost", " Tails", " Loudest")
	last := ""
	for _, v := range list {
		what := v.What
		if what == last {
			what = ""
		}
		last = v.What
		star := ""
		if v.Now {
			star = "*"
		}
		g.add(what, v.Value, star, unit.Cell(v.After.Damaged), unit.Span(v.After.LostGateS), unit.Cell(v.After.TailCuts), unit.Level(v.After.LoudestCutDB))
	}
	p.lines(g.lines()...)
}

func (p *page) drill(s *contract.SizeResult) {
	if len(s.Drill) == 0 {
		return
	}
	p.gap()
	p.sentences(s.DrillLine())
	g := newGrid("Voice out", " Damaged", " more", " Lost", " Tails", " more", " Loudest")
	for i := range s.Drill {
		a := &s.Drill[i]
		name := a.Name
		if a.Best {
			name += " *"
		}
		g.add(name, unit.Cell(a.After.Damaged), unit.Cell(-a.Costs.Damaged), unit.Span(a.After.LostGateS),
			unit.Cell(a.After.TailCuts), unit.Cell(-a.Costs.TailCuts), unit.Level(a.After.LoudestCutDB))
	}
	p.lines(g.lines()...)
}

func (p *page) byPart(s *contract.SizeResult) {
	if len(s.ByPart) == 0 {
		return
	}
	p.gap()
	p.sentences("Voices for each part by itself:")
	g := newGrid("Part", " Notes", " Keys", " Pedal", " Tails")
	for i := range s.ByPart {
		b := &s.ByPart[i]
		g.add(b.Name, unit.Cell(b.Notes), unit.Cell(b.Enough.Held), unit.Cell(b.Enough.Pedal), unit.Cell(b.Enough.Audible))
	}
	apart := s.Apart()
	g.add("each its own", "", unit.Cell(apart.Held), unit.Cell(apart.Pedal), unit.Cell(apart.Audible))
	g.add("all shared", unit.Cell(s.Song.Notes), unit.Cell(s.Enough.Held), unit.Cell(s.Enough.Pedal), unit.Cell(s.Enough.Audible))
	p.lines(g.lines()...)
}

func (p *page) racks(racks []contract.RackSize) {
	if len(racks) == 0 {
		return
	}
	p.gap()
	p.sentences("Racks of whole banks, every part on all of them, and dealt out as well as can be:")
	g := newGrid("Rack", " Voices", " CVs", " Gates", " HP", "Current", " Price", " Shared:\ndamaged", " tails", " Dealt:\ndamaged", " tails", "Best deal")
	for i := range racks {
		r := &racks[i]
		g.add(r.Name, unit.Cell(r.Voices), unit.Cell(r.CVs), unit.Cell(r.Gates), unit.Cell(r.HP), r.CurrentText(), r.PriceText(),
			r.Shared.DamageText(), unit.Cell(r.Shared.TailCuts), r.SplitCost.DamageText(), unit.Cell(r.SplitCost.TailCuts), r.SplitText())
	}
	p.lines(g.lines()...)
}

// SizeSongs writes the view of several songs: a table, the one that wants most
// first.
func SizeSongs(w io.Writer, s *contract.SizeSongs, o Options) error {
	p := newPage(o)
	p.sentences(s.Summary)
	if len(s.Songs) == 0 {
		return p.flush(w)
	}
	p.gap()
	g := newGrid("Song", " Notes", " Keys", " Pedal", " Tails", " Must\ndamage", " Damaged", " Tails\ncut", " Loudest", "Rules do no\nharm from")
	sorted := s.MostFirst()
	for i, name := range contract.SizeNames(sorted) {
		r := sorted[i]
		g.add(name, unit.Cell(r.Song.Notes), unit.Cell(r.Enough.Held), unit.Cell(r.Enough.Pedal), unit.Cell(r.Enough.Audible),
			unit.Cell(r.Floor()), unit.Cell(r.Now.Damaged), unit.Cell(r.Now.TailCuts), unit.Level(r.Now.LoudestCutDB), r.HarmlessFrom())
	}
	p.lines(g.lines()...)
	p.hanging("Must damage, damaged and tails: on the voices in service.")
	return p.flush(w)
}

// SizeCSV writes curves as RFC 4180 has it.
func SizeCSV(w io.Writer, results ...*contract.SizeResult) error {
	c := csv.NewWriter(w)
	c.UseCRLF = true
	return c.WriteAll(contract.SizeRecords(results...))
}
