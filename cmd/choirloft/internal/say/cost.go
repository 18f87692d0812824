package say

import (
	"fmt"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/profiles/unit"
)

// costWords says what a run costs.
func costWords(c *contract.Cost) string {
	if c.Damaged == 0 && c.TailCuts == 0 && c.LostGateS == 0 {
		return "nothing is lost"
	}
	damage := "no note cut short or dropped"
	switch {
	case c.Damaged == 0 && c.LostGateS > 0: // by the overlap at most, for each
		damage += fmt.Sprintf(", %s lost by notes that begin late", unit.Span(c.LostGateS))
	case c.Damaged > 0 && c.OverlapOnly == c.Damaged:
		damage = fmt.Sprintf("%s cut short (overlaps trimmed, no more)", unit.Count(c.Damaged, "note"))
	case c.Damaged > 0:
		damage = fmt.Sprintf("%s cut short or dropped, %s lost", unit.Count(c.Damaged, "note"), unit.Span(c.LostGateS))
	}
	return damage + ", " + tailWords(c)
}

func tailWords(c *contract.Cost) string {
	switch c.TailCuts {
	case 0:
		return "no audible tail cut"
	case 1:
		return "1 tail cut at " + unit.Level(c.LoudestCutDB)
	}
	return fmt.Sprintf("%d tails cut, the loudest at %s", c.TailCuts, unit.Level(c.LoudestCutDB))
}

// costShort is the notes and the tails alone.
func costShort(c *contract.Cost) string {
	return fmt.Sprintf("%d cut or dropped, %s cut", c.Damaged, unit.Count(c.TailCuts, "tail"))
}

// sameCost tells whether two runs cut and drop as many notes and tails.
func sameCost(a, b *contract.Cost) bool { return a.Damaged == b.Damaged && a.TailCuts == b.TailCuts }

// costCells are the notes cut short or dropped, the tails and the loudest of
// these.
func costCells(c *contract.Cost) []string {
	return []string{unit.Cell(c.Damaged), unit.Cell(c.TailCuts), unit.Level(c.LoudestCutDB)}
}

// costTone says how bad a run is.
func costTone(c *contract.Cost) doc.Tone {
	switch {
	case c.Damaged > 0:
		return doc.Bad
	case c.TailCuts > 0 || c.LostGateS > 0:
		return doc.Fair
	}
	return doc.Good
}

// damageText is the number of notes cut short or dropped, and how many of them
// are overlaps trimmed.
func damageText(c *contract.Cost) string {
	switch {
	case c.OverlapOnly == 0:
		return unit.Cell(c.Damaged)
	case c.Beyond() == 0:
		return fmt.Sprintf("%d trimmed", c.OverlapOnly)
	}
	return fmt.Sprintf("%d + %d trimmed", c.Beyond(), c.OverlapOnly)
}

// rules names the rules of a rig's parts, which may differ.
func rules(r *contract.RulesName) string {
	if r == nil {
		return "each part by its own rules"
	}
	return r.Pick + ", " + r.Steal + ", " + tailsWords(r.Tails)
}

// tailsWords says whether rules can tell a silent voice from a fading one.
func tailsWords(tails string) string {
	if tails == "unknown" {
		return term("deaf to tails").Name
	}
	return term("hears tails").Name
}
