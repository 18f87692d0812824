package setups

import (
	"fmt"

	"choirloft/profiles"
	"choirloft/routing"
	"choirloft/routing/circuit"
)

// layer lays the cables of a patch: those that lead from jack to jack, and
// multiples with what they lead to.
type layer struct {
	patch *Patch
	rig   *profiles.Rig // as it is patched
	ored  []bool        // by bank
}

func (l *layer) lay() {
	for i := range l.patch.nets {
		n := &l.patch.nets[i]
		from := outlet(l.rig, n)
		for _, b := range n.Branches {
			ends := make([]Jack, len(b.Inputs))
			for j, in := range b.Inputs {
				ends[j] = l.input(in)
			}
			l.branch(from, &b, ends)
		}
	}
	l.layOrs()
}

// branch leads from an output to jacks.
func (l *layer) branch(from Jack, b *routing.Branch, ends []Jack) {
	if b.Through == profiles.Direct {
		for _, end := range ends {
			l.cable(from, end)
		}
		return
	}
	m := multiple{through: b.Through, units: 1, feed: from, inputs: ends}
	if b.Through == profiles.Buffered {
		m.outs, m.units = b.Tree.Outs, b.Tree.Equal()
	}
	l.patch.multiples = append(l.patch.multiples, m)
}

func (l *layer) cable(from, to Jack) {
	l.patch.cables = append(l.patch.cables, Cable{from, to})
}

// input is the jack for an input. That of a gate in a bank with a gate-OR is
// there, and a cable leads on.
func (l *layer) input(in routing.Input) Jack {
	bank := l.rig.Banks[in.Bank].Name
	name := in.Name(l.rig)
	if in.Voice < 0 || in.Input != "gate" || !l.ored[in.Bank] {
		return Jack{"bank " + bank, name}
	}
	position := l.rig.Voices[in.Voice].Position
	l.cable(Jack{orPanel(bank), fmt.Sprintf("out %d", position)}, Jack{"bank " + bank, name})
	return Jack{orPanel(bank), fmt.Sprintf("in %d", position)}
}

func orPanel(bank string) string { return "gate-OR " + bank }

// layOrs leads the gates of a sequencer to the common inputs of gate-ORs: by a
// multiple where a part has several.
func (l *layer) layOrs() {
	var order []int
	commons := map[int][]Jack{}
	for _, o := range l.patch.ors {
		if commons[o.jack] == nil {
			order = append(order, o.jack)
		}
		commons[o.jack] = append(commons[o.jack], Jack{orPanel(l.rig.Banks[o.bank].Name), "common"})
	}
	sequencer := &l.rig.Interfaces[len(l.rig.Interfaces)-1]
	for _, jack := range order {
		from := Jack{sequencer.Name, fmt.Sprintf("gate %d", jack)}
		ends := commons[jack]
		if len(ends) == 1 {
			l.cable(from, ends[0])
			continue
		}
		l.patch.multiples = append(l.patch.multiples, newMultiple(l.patch.Way, from, ends))
	}
}

// newMultiple is a multiple of the kind that a way has.
func newMultiple(w Way, from Jack, ends []Jack) multiple {
	m := multiple{through: w.Through, units: 1, feed: from, inputs: ends}
	if w.Through == profiles.Buffered {
		m.outs, m.units = w.Outs, circuit.NewTree(len(ends), w.Outs).Equal()
	}
	return m
}
