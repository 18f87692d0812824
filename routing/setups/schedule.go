package setups

import (
	"slices"
	"strings"

	"choirloft/profiles"
	"choirloft/routing"
	"choirloft/routing/cables"
)

// Scheduled is a cable that set-ups plug and the map does not.
type Scheduled struct {
	Name     string // on its flag, as [Change.Names] has it
	From, To string // as in [cables.Cable]
	Bank     int    // that it serves, index into Rig.Banks; −1 for several
	SetUps   []int  // in which it is plugged, indexes into Rig.SetUps
}

// Schedule goes through every set-up of a rig once: for each cable of the map the
// set-ups in which it is plugged, and the cables that only set-ups have, in their order.
// A cable has one name in all of them, that of the jack that it comes from.
func Schedule(m *routing.Map) (of [][]int, others []Scheduled) {
	list := cables.List(m)
	of = make([][]int, len(list))
	for at := range m.Rig.SetUps {
		p := New(m, at)
		all, _ := Label(p, p)
		n := newNamer(p, all)
		for i, name := range names(p, all, all) {
			flag := slices.IndexFunc(list, func(c cables.Cable) bool { return c.Name == name })
			if flag >= 0 {
				of[flag] = append(of[flag], at)
				continue
			}
			c := Scheduled{Name: name, From: n.end(all[i].From), To: n.end(all[i].To), Bank: bankOf(m.Rig, all[i].To), SetUps: []int{at}}
			same := slices.IndexFunc(others, func(x Scheduled) bool { return x.Name == c.Name && x.From == c.From && x.To == c.To })
			if same >= 0 {
				others[same].SetUps = append(others[same].SetUps, at)
			} else {
				others = append(others, c)
			}
		}
	}
	return of, others
}

// end names an end of a cable without the number of a multiple, which is that of a way
// from one set-up to another: multiple at seq gate 1.
func (n *namer) end(j Jack) string {
	switch {
	case strings.HasPrefix(j.Panel, "bank "):
		return j.Name
	case strings.HasPrefix(j.Panel, "multiple "):
		source := n.source(j)
		text := "multiple at " + source.Panel + " " + source.Name
		if unit, ok := strings.CutPrefix(j.Name, "unit "); ok {
			text += ", unit " + unit
		}
		return text
	case slices.ContainsFunc(n.rig.Gear, func(g profiles.Gear) bool { return g.Name == j.Panel }):
		return j.Panel
	}
	return j.Panel + " " + j.Name
}

// bankOf is the bank of an input; −1 for what serves several.
func bankOf(rig *profiles.Rig, j Jack) int {
	name, ok := strings.CutPrefix(j.Panel, "bank ")
	if !ok {
		name, ok = strings.CutPrefix(j.Panel, orPanel(""))
	}
	if !ok {
		return -1
	}
	return slices.IndexFunc(rig.Banks, func(b profiles.Bank) bool { return b.Name == name })
}
