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
func (c *chart) free() doc.List {
	return doc.Sentences(append(append(c.spareLines(), c.pathLines()...), c.gateOrLine())...)
}

// gateOrLine names the banks whose gates come through a gate-OR.
func (c *chart) gateOrLine() string {
	if len(c.GateOrs) == 0 {
		return ""
	}
	return fmt.Sprintf("A gate-OR stands between the gate jacks and %s in every set-up, with two cables a voice.", unit.List(banksOf(c.GateOrs)))
}

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
			if b.Normal != "none" {
				lines = append(lines, fmt.Sprintf("%s %s %d reaches %s behind the panels, without a cable (%s normal).", p.Interface, p.Kind, p.Jack, unit.Several(b.Inputs), b.Normal))
				continue
			}
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
			unknown = append(unknown, l.Resource+" (needs "+*l.Needs+")")
			continue
		}
		known = append(known, fmt.Sprintf("%s %s (%s)", upper(l.Resource), banksFor(l), *l.Basis))
	}
	if len(known) > 0 {
		lines = append(lines, fmt.Sprintf("Room for more banks like %s (%s). %s.", g.Like, unit.Count(g.Voices, "voice"), strings.Join(known, ". ")))
	}
	if len(unknown) > 0 {
		lines = append(lines, "Not known: "+strings.Join(unknown, "; ")+".")
	}
	for i := range g.Steps {
		steps = append(steps, g.Steps[i].Text)
	}
	if len(steps) > 0 {
		lines = append(lines, "Any of these gives jacks for one more bank; each was tried: "+strings.Join(steps, ". Or ")+".")
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
	t := doc.Table{Columns: []doc.Column{words("voices alike").Wide(8), words("worst key").Wide(8), number("step").Wide(5).Ranked(6),
		number("interface error").Wide(6).Ranked(1), number("load").Wide(5).Ranked(2), number("normal").Wide(6).Ranked(2), number("buffers").Wide(7).Ranked(4), number("tracking").Wide(6).Ranked(1),
		number("calibration").Wide(7).Ranked(3), number("clamping").Wide(6).Ranked(5), number("drift").Wide(6).Ranked(1), number("likely").Wide(6),
		number("worst").Wide(6), marks().Wide(9)}}
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
			t.Row("", c.budgetCells(name, first.Budget)...)
		}
		i = j + 1
	}
	return t.WithoutEmpty(unit.None)
}

// restLine says how far off voices may be, and what that rests on.
func (c *chart) restLine() string {
	r := c.RestsOn
	if r == nil || len(r.Causes) == 0 {
		return ""
	}
	var sources []string
	causes, assumed := map[string][]string{}, false
	for i := range r.Causes {
		x := &r.Causes[i]
		assumed = assumed || x.Assumed > 0
		if x.Cause != "step" || len(r.Causes) == 1 {
			source := causeSource(x)
			if causes[source] == nil {
				sources = append(sources, source)
			}
			causes[source] = append(causes[source], x.Cause+" "+strayCell(x.WorstCents))
		}
	}
	var lines []string
	if r.Voice != "" {
		assumed = assumed && strayCell(r.KnownCents) != strayCell(r.WorstCents) // else it moves nothing that is printed
		mark := ""
		if assumed {
			mark = ", part of it assumed"
		}
		lines = append(lines, fmt.Sprintf("Tuning error likely within %s, at worst %s%s: %s at %s (%d).", centsOrLess(r.LikelyCents), centsOrLess(r.WorstCents), mark,
			r.Voice, contract.KeyName(r.AtKey, c.MiddleC), r.AtKey))
	}
	if len(r.Unknown) > 0 {
		lines = append(lines, "Tuning error not known before it is measured: "+unit.First(r.Unknown, 4)+".")
	}
	for i, source := range sources {
		rests := "Rests on, in cents: "
		if i > 0 {
			rests = "And on: "
		}
		lines = append(lines, rests+unit.List(causes[source])+" ("+source+").")
	}
	if assumed {
		lines = append(lines, "Without what is assumed: "+centsOrLess(r.KnownCents)+".")
	}
	if len(r.DriftUnknown) > 0 {
		lines = append(lines, "Drift not measured, so assumed: "+unit.First(r.DriftUnknown, 4)+".")
	}
	if r.DriftDays > 1 && r.DriftDays < manyDays {
		lines = append(lines, fewDays(r.DriftDays))
	}
	return strings.Join(lines, " ")
}

// manyDays is from how many days on nothing is said of their number: the limit of a fit
// to so many changes is less than a third above that of a known deviation.
const manyDays = 10

// fewDays says why a drift that was measured counts by several times what it was.
func fewDays(days int) string {
	return fmt.Sprintf("Drift was measured on %s: so few days leave it uncertain, and each further day narrows it.", unit.Count(days, "day"))
}

// centsOrLess prints cents; what is not quite nothing is told from nothing.
func centsOrLess(cents float64) string {
	if cents == 0 {
		return "0 cents"
	}
	return strayCell(cents) + " cents"
}

// causeSource says where a cause comes from; of how many voices where that differs.
func causeSource(x *contract.PitchCause) string {
	if x.Assumed > 0 && x.Assumed < x.Voices {
		return fmt.Sprintf("assumed for %d of %s", x.Assumed, unit.Count(x.Voices, "voice"))
	}
	return sourceText(x.Source)
}

// sameBudget compares all but the readings that a term rests on.
func sameBudget(a, b *contract.Budget) bool {
	return a == b || a != nil && b != nil && a.AtKey == b.AtKey && slices.EqualFunc(a.Terms, b.Terms, sameTerm) && len(a.Unknown) == len(b.Unknown)
}

func sameTerm(a, b contract.Term) bool {
	return a.Term == b.Term && a.Cents == b.Cents && a.Basis == b.Basis && same(a.Degrees, b.Degrees)
}

func same[T comparable](a, b *T) bool {
	return a == nil && b == nil || a != nil && b != nil && *a == *b
}

func (c *chart) budgetCells(name string, b *contract.Budget) []string {
	cells, basis := []string{name, contract.KeyName(b.AtKey, c.MiddleC) + fmt.Sprintf(" (%d)", b.AtKey)}, ""
	all := []contract.Stray{b.Step, b.Interface, b.Loading, b.Normal, b.Buffers, b.Tracking, b.Calibration, b.Clamping, b.Drift}
	if slices.ContainsFunc(all, func(s contract.Stray) bool { return s.Assumed && s.WorstCents >= 0.05 }) { // less moves nothing that is printed
		basis = "* assumed"
	}
	for i, s := range all {
		cell := strayCell(s.WorstCents)
		if s.Assumed && basis != "" {
			cell += "*"
		}
		if i == 1 && len(b.Unknown) > 0 {
			cell = unknown
		}
		cells = append(cells, cell)
	}
	return append(cells, tenths(b.LikelyCents), tenths(b.WorstCents), basis)
}

// unknown stands for what nobody can tell before it is measured.
const unknown = "?"

// tenths prints cents that may not be known.
func tenths(cents *float64) string {
	if cents == nil {
		return unknown
	}
	return unit.Tenths(*cents)
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
		colours += "; any for cables that several banks share"
	}
	lines := append(c.cableCount(), colours+".")
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
	if len(c.MultiplesToBuy) > 0 {
		var words []string
		for _, x := range c.MultiplesToBuy {
			words = append(words, fmt.Sprintf("%d %s of %s", x.Count, x.Through, unit.Count(x.Outs, "output")))
		}
		lines = append(lines, "Multiples to buy: "+unit.List(words)+".")
	}
	if more := c.SetUpMultiples(); len(more) > 0 {
		lines = append(lines, "Set-ups plug "+unit.Count(len(more), "further multiple")+": of "+unit.List(more)+".")
	}
	if unknown {
		lines = append(lines, "For lengths, give row and hp of interfaces and banks, and of everything to their left.")
	}
	return doc.Sentences(lines...)
}

// cableCount says how many cables to buy: of all set-ups together, and of which the list is.
func (c *chart) cableCount() []string {
	const audio = ", audio cables not counted."
	more := len(c.SetUpCables)
	if more == 0 {
		return []string{unit.Count(len(c.Cables), "cable") + " to buy" + audio}
	}
	of := "the interfaces"
	if shown := c.SetUpShown(); shown != "" {
		of = shown
	}
	return []string{unit.Count(len(c.Cables)+more, "cable") + " to buy for all set-ups" + audio,
		fmt.Sprintf("The list has the %d of %s; %d more are on the wiring schedule.", len(c.Cables), of, more)}
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
