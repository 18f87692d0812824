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

// sensitivity has what each thing does that was changed by steps.
func (s size) sensitivity() doc.Table {
	t := doc.Table{Columns: []doc.Column{words("with"), number("cut or dropped"), number("lost"), number("plain time"), number("heard time"), number("tails cut").Ranked(1)}}
	for i := range s.Sensitivity {
		v := &s.Sensitivity[i]
		value := v.Value
		if v.What == "tails" {
			value = Hearing(value)
		}
		if v.Now {
			value += " *"
		}
		t.Row(v.What, slices.Concat([]string{value}, changedCells(&v.After))...)
	}
	return t
}

// changedCells are what is lost of a song, and for how long that is heard.
func changedCells(c *contract.Cost) []string {
	return slices.Concat([]string{unit.Cell(c.Damaged), unit.Span(c.LostGateS)}, timeCells(c.Missing), []string{unit.Cell(c.TailCuts)})
}

// besideLine says what each change is judged beside.
func (s size) besideLine() string {
	if len(s.Sensitivity) == 0 {
		return ""
	}
	return "Heard is beside the song as your rig has it now: another release is heard too."
}

// byCounts says of a table of so many rows that it goes by counts alone.
func byCounts(rows int) doc.Paragraph {
	if rows == 0 {
		return doc.Paragraph{}
	}
	return doc.Paragraph{Text: "By counts, not by ear: a cut tail counts whether you would hear it or not."}
}

// drillLine says which voice can be spared best.
func (s size) drillLine() string {
	for i := range s.Drill {
		if a := &s.Drill[i]; a.Best {
			return fmt.Sprintf("The best voice to do without is %s: %s.", a.Name, costWords(&a.After, &a.Leaves))
		}
	}
	return ""
}

// drill has what each voice costs that is out.
func (s size) drill() doc.Table {
	t := doc.Table{Columns: []doc.Column{words("voice out"), number("cut or dropped"), number("lost"), number("plain time"),
		number("heard time"), number("tails cut").Ranked(1)}}
	for i := range s.Drill {
		a := &s.Drill[i]
		name := a.Name
		if a.Best {
			name += " *"
		}
		t.Row("", slices.Concat([]string{name}, changedCells(&a.After))...)
	}
	return t
}

// byPart has what each part needs, and all of them apart and together.
func (s size) byPart() doc.Table {
	t := doc.Table{Columns: []doc.Column{words("part").Folds(16), number("notes"), number("keys"), number("with pedal"), number("with tails")}}
	row := func(name, notes string, e contract.Enough) {
		t.Row("", name, notes, unit.Cell(e.Held), unit.Cell(e.Pedal), unit.Cell(e.Audible))
	}
	for i := range s.ByPart {
		row(s.ByPart[i].Name, unit.Cell(s.ByPart[i].Notes), s.ByPart[i].Enough)
	}
	if s.Apart != nil {
		row("own voices each", "", *s.Apart)
		row("all on shared voices", unit.Cell(s.Song.Notes), s.Enough)
	}
	return t
}

// racks compares racks that could be.
func (s size) racks() doc.Table {
	t := doc.Table{Columns: []doc.Column{words("rack").Folds(8), number("voices"), number("CVs").Ranked(3), number("gates").Ranked(3),
		number("HP").Ranked(2), words("current").Ranked(4).Folds(13), number("price"), under("Shared", number("seconds heard")).Means("every part on every bank."),
		under("Shared", number("seconds plain")).Ranked(5), under("Shared", number("cut or dropped")).Ranked(1), under("Shared", number("tails cut")).Ranked(6), under("Dealt", number("cut or dropped")).Means("banks given to parts in the best way found."),
		under("Dealt", number("tails cut")).Ranked(1), words("best deal").Folds(20)}}
	for i := range s.Racks {
		r := &s.Racks[i]
		heard := heardCells(r.Heard)
		t.Row("", r.Name, unit.Cell(r.Voices), unit.Cell(r.CVs), unit.Cell(r.Gates), unit.Cell(r.HP), currentText(r), priceText(r),
			heard[0], heard[1], unit.Cell(r.Shared.Damaged), unit.Cell(r.Shared.TailCuts), unit.Cell(r.SplitCost.Damaged), unit.Cell(r.SplitCost.TailCuts), splitText(r))
	}
	return t.WithoutEmpty("")
}

// dealtByCounts says of a table of so many racks what in it goes by counts alone.
func dealtByCounts(racks int) doc.Paragraph {
	if racks == 0 {
		return doc.Paragraph{}
	}
	return doc.Paragraph{Text: "How banks are dealt out goes by counts, not by ear."}
}

// currentText is what a rack's banks draw.
func currentText(r *contract.RackSize) string {
	var words []string
	for _, c := range r.Current {
		words = append(words, fmt.Sprintf("%+d: %.0f mA", c.Rail, c.MA))
	}
	if len(words) == 0 {
		return unit.None
	}
	return strings.Join(words, " ")
}

// priceText is what a rack costs, in the unit of the prices given.
func priceText(r *contract.RackSize) string {
	if r.Price == nil {
		return unit.None
	}
	return strconv.FormatFloat(*r.Price, 'f', -1, 64)
}

// splitText says who has how many banks.
func splitText(r *contract.RackSize) string {
	var words []string
	for _, g := range r.Split {
		words = append(words, fmt.Sprintf("%d %s", g.Banks, strings.Join(g.Parts, "+")))
	}
	if len(words) == 0 {
		return unit.None
	}
	return strings.Join(words, ", ")
}
