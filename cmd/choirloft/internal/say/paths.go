package say

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/profiles/unit"
)

// free names the jacks that are free, and the ways from jacks that are in use.
func (c *chart) free() doc.List { return doc.Sentences(append(c.spareLines(), c.pathLines()...)...) }

// spareLines name the jacks that are free.
func (c *chart) spareLines() []string {
	if len(c.Spare.Jacks) == 0 {
		return []string{"Spare: no jack."}
	}
	var lines []string
	for _, s := range c.Spare.Jacks {
		kind := map[string]string{"cv": "CV", "gate": "gate", "output": "output"}[s.Kind]
		lines = append(lines, fmt.Sprintf("Spare on %s: %s, %s.", s.Interface, unit.Count(len(s.Jacks), kind), strings.Join(unit.Runs(s.Jacks), ", ")))
	}
	return lines
}

// pathLines name the ways that are not one jack to one input.
func (c *chart) pathLines() (lines []string) {
	for i := range c.Paths {
		p := &c.Paths[i]
		for j := range p.Branches {
			b := &p.Branches[j]
			if b.Through == direct && len(b.Via) == 0 {
				continue
			}
			lines = append(lines, fmt.Sprintf("%s %s %d reaches %s %s.", p.Interface, p.Kind, p.Jack, unit.Several(b.Inputs), between(p, b)))
		}
	}
	return lines
}

// direct is a way through nothing but a cable.
const direct = "direct"

// between says what a branch goes through, and what that costs.
func between(p *contract.Path, b *contract.Branch) string {
	if len(b.Via) > 0 {
		return "through " + unit.List(b.Via)
	}
	if b.Least == nil {
		return fmt.Sprintf("through a passive multiple: %s %% of its volts arrive", unit.Tenths(p.GainPercent))
	}
	total := 0
	for _, n := range b.Multiples {
		total += n
	}
	text := "through " + unit.Count(total, "buffered multiple") + " in " + unit.Count(len(b.Multiples), "level")
	if *b.Least < total {
		text += fmt.Sprintf(" (%d would do at unequal depth)", *b.Least)
	}
	return text
}

// growth says what ends first, what then, what is not known, and which steps
// down would make room for one bank more.
func (c *chart) growth() doc.List {
	g := c.Growth
	var known, unknown, steps, lines []string
	for i := range g.Limits {
		l := &g.Limits[i]
		if l.Banks == nil {
			unknown = append(unknown, l.Resource+": needs "+*l.Needs)
			continue
		}
		known = append(known, fmt.Sprintf("%s %s (%s)", upper(l.Resource), banksFor(l), *l.Basis))
	}
	if len(known) > 0 {
		lines = append(lines, fmt.Sprintf("Room for further banks like %s, of %s. %s.", g.Like, unit.Count(g.Voices, "voice"), strings.Join(known, ". ")))
	}
	if len(unknown) > 0 {
		lines = append(lines, "Not known: "+strings.Join(unknown, "; ")+".")
	}
	for i := range g.Steps {
		steps = append(steps, g.Steps[i].Text)
	}
	if len(steps) > 0 {
		lines = append(lines, "Jacks for one bank more, each tried: "+strings.Join(steps, ". Or ")+".")
	}
	return doc.Sentences(lines...)
}

func banksFor(l *contract.Limit) string {
	switch {
	case l.AtLeast:
		return "for " + strconv.Itoa(*l.Banks) + " or more"
	case *l.Banks == 0:
		return "for none"
	}
	return "for " + strconv.Itoa(*l.Banks)
}

// stray has a row for voices of a bank, side by side, whose pitch may stray
// alike.
func (c *chart) stray() doc.Table {
	t := doc.Table{Columns: []doc.Column{doc.Words("Voices").Wide(8), doc.Number("Step").Wide(6).Ranked(4), doc.Number("Load").Wide(6).Ranked(1),
		doc.Number("Buffers").Wide(7).Ranked(3), doc.Number("Calibr.").Wide(7).Ranked(2), doc.Number("Drift").Wide(6), doc.Number("Worst").Wide(6),
		doc.Number("RMS").Wide(5), doc.Words("").Wide(9)}}
	for i := 0; i < len(c.Voices); {
		first, j := &c.Voices[i], i
		for j+1 < len(c.Voices) && c.Voices[j+1].Bank == first.Bank && sameBudget(c.Voices[j+1].Budget, first.Budget) {
			j++
		}
		name := first.Name
		if j > i {
			name += "-" + c.Voices[j].Name
		}
		if first.Budget != nil {
			t.Row("", budgetCells(name, first.Budget)...)
		}
		i = j + 1
	}
	return t
}

func sameBudget(a, b *contract.Budget) bool { return a == b || a != nil && b != nil && *a == *b }

func budgetCells(name string, b *contract.Budget) []string {
	cells := []string{name}
	for _, s := range []contract.Stray{b.Step, b.Loading, b.Buffers, b.Calibration, b.Drift} {
		cell := strayCell(s.WorstCents)
		if s.Assumed && s.WorstCents > 0 {
			cell += "*"
		}
		cells = append(cells, cell)
	}
	basis := ""
	if b.Assumed {
		basis = "* assumed"
	}
	return append(cells, unit.Tenths(b.WorstCents), unit.Tenths(b.RMSCents), basis)
}

// strayCell tells what is not quite nothing from nothing.
func strayCell(cents float64) string {
	switch {
	case cents == 0:
		return unit.None
	case cents < 0.05:
		return "<0.1"
	}
	return unit.Tenths(cents)
}

// cables say what to buy, a line a length.
func (c *chart) cables() doc.List {
	if len(c.Cables) == 0 {
		return doc.List{}
	}
	var banks []string
	for _, b := range c.Banks {
		banks = append(banks, b.Name+" "+b.Colour)
	}
	colours := "Colours by bank: " + strings.Join(banks, ", ")
	if slices.ContainsFunc(c.ColoursToBuy, func(x contract.CableShade) bool { return x.Colour == "" }) {
		colours += "; any for what serves several"
	}
	lines := []string{fmt.Sprintf("Cables to buy: %d, without those of sound.", len(c.Cables)), colours + "."}
	unknown := false
	for i, j := 0, 0; i < len(c.CablesToBuy); { // both lists have the same lengths in the same order
		length, colours, words := lotLength(c.CablesToBuy[i].StockCM, c.CablesToBuy[i].OverCM), []string(nil), []string(nil)
		unknown = unknown || length == unknownLength
		for ; j < len(c.ColoursToBuy) && lotLength(c.ColoursToBuy[j].StockCM, c.ColoursToBuy[j].OverCM) == length; j++ {
			colours = append(colours, fmt.Sprintf("%d %s", c.ColoursToBuy[j].Count, cmp.Or(c.ColoursToBuy[j].Colour, "any")))
		}
		for ; i < len(c.CablesToBuy) && lotLength(c.CablesToBuy[i].StockCM, c.CablesToBuy[i].OverCM) == length; i++ {
			words = append(words, fmt.Sprintf("%d %s", c.CablesToBuy[i].Count, purpose(c.CablesToBuy[i].Purpose)))
		}
		lines = append(lines, fmt.Sprintf("%s: %s (%s)", length, strings.Join(colours, ", "), strings.Join(words, ", ")))
	}
	if unknown {
		lines = append(lines, "Lengths are known where interfaces and banks say their row and hp, and what is left of them too.")
	}
	return doc.Sentences(lines...)
}

// purpose is what a cable is for, by its name in JSON.
func purpose(name string) string {
	if name == "lane" {
		return "control"
	}
	return name
}

const unknownLength = "length not known"

func lotLength(stock, over *int) string {
	switch {
	case stock != nil:
		return strconv.Itoa(*stock) + " cm"
	case over != nil:
		return "over " + strconv.Itoa(*over) + " cm"
	}
	return unknownLength
}
