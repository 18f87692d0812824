package say

import (
	"fmt"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/profiles/unit"
)

// mostLosses is how many losses of a song are shown; the rest is in the JSON.
var mostLosses = map[Room]int{Screen: 8, Paper: 40}

// endings are those of losses in words.
var endings = map[string]string{
	"dropped": "dropped", "born_cut": "cut at birth", "held_cut": "cut while held", "overlap_only": "legato overlap", "pedal_cut": "cut on pedal",
	"tail_cut_own_key": "tail, own key", "tail_cut_other_key": "tail, other key",
}

// lossTable lists losses, a row each.
func lossTable(losses []*contract.Loss) doc.Table {
	t := doc.Table{Columns: []doc.Column{doc.Words("Bar"), doc.Number("Time").Ranked(5), doc.Words("Part"), doc.Words("Key"), doc.Words("Voice").Ranked(1),
		doc.Words("Ending"), doc.Number("Lost").Ranked(2), doc.Number("Level").Ranked(2), doc.Words("Cause").Ranked(4), doc.Words("Taken by").Ranked(3)}}
	for _, l := range losses {
		t.Row("", l.Bar, unit.Clock(l.AtS), l.Part, l.What(), l.On(), endings[l.Ending], unit.Span(l.LostS), unit.Level(l.LevelDB), l.Cause, l.Who())
	}
	return t
}

// costs says what playing a song costs.
func costs(c *contract.Cost) string {
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
	switch c.TailCuts {
	case 0:
		return damage + ", no tail cut audibly"
	case 1:
		return damage + ", 1 tail cut at " + unit.Level(c.LoudestCutDB)
	}
	return damage + fmt.Sprintf(", %d tails cut, the loudest at %s", c.TailCuts, unit.Level(c.LoudestCutDB))
}
