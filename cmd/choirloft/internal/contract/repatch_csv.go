package contract

import (
	"strconv"
	"strings"
)

// Records lists the change as a table, a row a move or a jack to hold, with a
// head: first the rig and its fingerprint.
func (r *Repatch) Records() [][]string {
	all := [][]string{{"step", "do", "from_panel", "from", "to_panel", "to", "fingerprint"}, {"", "rig", r.Rig, r.From, "", r.To, r.Fingerprint}}
	step := 0
	add := func(do string, cells ...string) {
		step++
		all = append(all, append(append([]string{strconv.Itoa(step), do}, cells...), ""))
	}
	for _, c := range r.Pulls {
		add("pull", c.FromPanel, c.From, c.ToPanel, c.To)
	}
	for _, s := range r.Switches {
		add("switch", "bank "+s.Bank, s.To, "", "")
	}
	for _, c := range r.Plugs {
		add("plug", c.FromPanel, c.From, c.ToPanel, c.To)
	}
	for _, x := range r.Rests {
		do := "hold 0 V"
		if x.Gate {
			do = "hold low"
		}
		add(do, x.Panel, x.Jack, "", strings.Join(x.Inputs, " "))
	}
	return all
}
