package say

import (
	"fmt"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/profiles/unit"
)

// costWords says what a run costs.
func costWords(c *contract.Cost) string {
	if c.Damaged == 0 && c.TailCuts == 0 {
		return "nothing is lost"
	}
	damage := "no note damaged"
	switch {
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
