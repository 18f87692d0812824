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
	damage := "no note damaged"
	switch {
	case c.Damaged == 0 && c.LostGateS > 0: // by the overlap at most, for each
		damage += fmt.Sprintf(", %s lost by late starts", unit.Span(c.LostGateS))
	case c.Damaged > 0 && c.OverlapOnly == c.Damaged:
		damage = fmt.Sprintf("%s damaged (legato overlaps only)", unit.Count(c.Damaged, "note"))
	case c.Damaged > 0:
		damage = fmt.Sprintf("%s damaged, %s lost", unit.Count(c.Damaged, "note"), unit.Span(c.LostGateS))
	}
	return damage + ", " + tailWords(c)
}

func tailWords(c *contract.Cost) string {
	switch c.TailCuts {
	case 0:
		return "no tail cut audibly"
	case 1:
		return "1 tail cut at " + unit.Level(c.LoudestCutDB)
	}
	return fmt.Sprintf("%d tails cut, the loudest at %s", c.TailCuts, unit.Level(c.LoudestCutDB))
}

// costCells are the damaged notes, the tails and the loudest of these.
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

// damageText is the number of damaged notes, and which of them are legato.
func damageText(c *contract.Cost) string {
	switch {
	case c.OverlapOnly == 0:
		return unit.Cell(c.Damaged)
	case c.Beyond() == 0:
		return fmt.Sprintf("%d legato", c.OverlapOnly)
	}
	return fmt.Sprintf("%d + %d legato", c.Beyond(), c.OverlapOnly)
}

// rules names the rules of a rig's parts, which may differ.
func rules(r *contract.RulesName) string {
	if r == nil {
		return "each part by its own rules"
	}
	return r.Pick + ", " + r.Steal + ", tails " + r.Tails
}
