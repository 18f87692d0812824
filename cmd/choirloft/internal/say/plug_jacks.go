package say

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/profiles/unit"
)

// plugJack is a jack that a cable comes from.
type plugJack struct {
	panel, kind string // kind as the door has it: cv, gt, out
	number      int
	connector   int // from 1; 0 where it is not known which
	first, last int // jacks of that
}

// jackCable is a cable and the jack that it comes from.
type jackCable struct {
	jack  plugJack
	cable *contract.Cable
}

// jacks are the connectors, jack by jack, each with what its cable leads to; then what comes out of
// multiples and modules.
func (s *plugs) jacks() (groups []PlugGroup) {
	all, others := s.byJack()
	for i, x := range all {
		begins := i == 0 || !all[i-1].jack.beside(&x.jack)
		if begins {
			groups = append(groups, PlugGroup{Name: x.jack.title()})
		}
		g := &groups[len(groups)-1]
		if begins || all[i-1].jack.number+1 < x.jack.number || !s.follows(all[i-1].cable, x.cable) {
			g.Cells = append(g.Cells, PlugCell{Colour: x.cable.Colour})
		}
		cell := &g.Cells[len(g.Cells)-1]
		cell.Toggles = append(cell.Toggles, s.leadsTo(x.cable))
		if n := len(cell.Toggles); n > 1 {
			cell.Name = cell.Toggles[0].Big + " – " + cell.Toggles[n-1].Big
		}
	}
	if len(others.Cells) > 0 {
		groups = append(groups, others)
	}
	return groups
}

// byJack are the cables that come out of jacks, by source, kind and number, and the others. Interfaces
// come in the order of the rig, further sources as they come.
func (s *plugs) byJack() (all []jackCable, others PlugGroup) {
	others = PlugGroup{Name: otherThings, Cells: []PlugCell{}}
	var panels []string
	for i := range s.Interfaces {
		panels = append(panels, s.Interfaces[i].Name)
	}
	for _, x := range s.cables {
		j, ok := s.jackOf(x.From)
		if !ok {
			others.add(deviceOf(x.From), "", s.leadsTo(x))
			continue
		}
		all = append(all, jackCable{j, x})
		if !slices.Contains(panels, j.panel) {
			panels = append(panels, j.panel)
		}
	}
	slices.SortStableFunc(all, func(a, b jackCable) int {
		return cmp.Or(slices.Index(panels, a.jack.panel)-slices.Index(panels, b.jack.panel), strings.Compare(a.jack.kind, b.jack.kind), a.jack.number-b.jack.number)
	})
	return all, others
}

// beside tells whether two jacks are on one connector.
func (j *plugJack) beside(other *plugJack) bool {
	return j.panel == other.panel && j.kind == other.kind && j.connector == other.connector
}

// jackOf reads the end of a cable: main cv 12. A multiple or a module is no jack.
func (s *plugs) jackOf(from string) (j plugJack, ok bool) {
	words := strings.Fields(from)
	if len(words) < 3 || strings.HasPrefix(from, "multiple at ") {
		return j, false
	}
	kind, number := words[len(words)-2], words[len(words)-1]
	n, err := strconv.Atoi(number)
	if err != nil || kind != "cv" && kind != "gate" {
		return j, false
	}
	j = plugJack{panel: strings.TrimSuffix(from, " "+kind+" "+number), kind: doorKinds[kind], number: n}
	for i := range s.Interfaces {
		f := &s.Interfaces[i]
		if f.Name != j.panel {
			continue
		}
		all := map[string]int{"cv": f.CV, "gate": f.Gates}[kind]
		if f.Outputs > 0 {
			j.kind, all = doorKinds["output"], f.Outputs
		}
		j.connector = (n-1)/f.PerConnector + 1
		j.first = (j.connector-1)*f.PerConnector + 1
		j.last = min(j.connector*f.PerConnector, all)
	}
	return j, true
}

// title names the connector: main cv 9–16.
func (j *plugJack) title() string {
	text := j.panel + " " + j.kind
	if j.connector > 0 {
		text += " " + unit.Runs(numbersFrom(j.first, j.last))[0]
	}
	return text
}

func numbersFrom(first, last int) (all []int) {
	for n := first; n <= last; n++ {
		all = append(all, n)
	}
	return all
}

// deviceOf is the module that an end belongs to: gate-OR K for its out 3.
func deviceOf(from string) string {
	if at := strings.LastIndex(from, " out "); at > 0 {
		return from[:at]
	}
	return from
}

// follows tells whether a cable leads to the voice after that of another, into the same input.
func (s *plugs) follows(a, b *contract.Cable) bool {
	of, input := splitInput(a.To)
	next, same := splitInput(b.To)
	v, w := s.voiceOf[of], s.voiceOf[next]
	return v != nil && w != nil && input == same && v.Bank == w.Bank && v.Position+1 == w.Position
}

// leadsTo is a cable at its jack: by what it leads to.
func (s *plugs) leadsTo(x *contract.Cable) PlugToggle {
	t := s.outOf(x)
	t.Small, t.Big = t.Small+" "+t.Big, x.To
	switch of, input := splitInput(x.To); {
	case s.voiceOf[of] != nil && (input == "pitch" || input == "gate"):
		t.Big = of
	case of != "":
		t.Big, t.Below = of, input
	default:
		if strings.HasPrefix(x.To, "multiple at ") {
			t.Big = "multiple"
		}
		t.Below = s.feeds(x.To)
	}
	return t
}
