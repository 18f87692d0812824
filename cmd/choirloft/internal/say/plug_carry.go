package say

import (
	"fmt"
	"slices"

	"choirloft/profiles/unit"
)

// Ticked is a cable that somebody has ticked: what it joined then.
type Ticked struct {
	Cable string `json:"cable"`
	From  string `json:"from"`
	To    string `json:"to"`
}

// Carried is what becomes of ticks that were made for another plan.
type Carried struct {
	Text   string `json:"text"`
	Button string `json:"button"` // for who has read it
	// Cables are those of this plan that join the ends of ticked ones, by their place among all, from 0: they stay ticked.
	Cables []int `json:"cables"`
	// Changed say which do not, and what to do.
	Changed []string `json:"changed"`
}

// Carry compares ticks that were made by the plan of a code with the cables of this one.
func (p *Plug) Carry(before string, ticks []Ticked) *Carried {
	c := &Carried{Button: "Close", Cables: []int{}, Changed: []string{}}
	for _, t := range ticks {
		same := slices.IndexFunc(p.Cables, func(x PlugCable) bool { return x.From == t.From && x.To == t.To })
		named := slices.IndexFunc(p.Cables, func(x PlugCable) bool { return x.Cable == t.Cable })
		was := t.Cable + " was ticked from " + t.From + " to " + t.To
		switch {
		case same >= 0:
			c.Cables = append(c.Cables, same)
		case named < 0:
			c.Changed = append(c.Changed, was+". There is no such cable now: pull it, muted.")
		default:
			c.Changed = append(c.Changed, was+". Now it goes from "+p.Cables[named].From+" to "+p.Cables[named].To+".")
		}
	}
	n := len(c.Cables)
	c.Text = "The rig has changed since you ticked, by plan " + before + ". "
	switch {
	case n == 0:
		c.Text += "No ticked cable joins the same ends."
	case n < len(ticks):
		c.Text += fmt.Sprintf("Of %s %d still join the same ends, and stay ticked.", unit.Count(len(ticks), "ticked cable"), n)
	default:
		c.Text += "Every ticked cable still joins the same ends, and stays ticked."
	}
	return c
}
