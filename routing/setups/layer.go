package setups

import (
	"fmt"
	"slices"

	"choirloft/profiles"
	"choirloft/routing"
	"choirloft/routing/circuit"
)

// layer lays the cables of a patch: those that lead from jack to jack, and
// multiples with what they lead to. The jacks of other modules are called in
// and out: which of them serves where makes no difference.
type layer struct {
	patch *Patch
	rig   *profiles.Rig // as it is patched
	ored  []bool        // by bank
	laid  map[Cable]bool
}

func (l *layer) lay() {
	for i := range l.patch.nets {
		n := &l.patch.nets[i]
		from := outlet(l.rig, n)
		for branches := range n.Wires() {
			if branches[0].Normal == profiles.NoNormal { // else it is behind the panels
				l.wire(from, branches)
			}
		}
	}
	l.layOrs()
}

// wire leads from an output to what the branches of one wire lead to.
func (l *layer) wire(from Jack, branches []routing.Branch) {
	var ends []Jack
	for i := range branches {
		for _, end := range l.ends(&branches[i]) {
			if !slices.Contains(ends, end) {
				ends = append(ends, end)
			}
		}
	}
	first := &branches[0]
	if first.Through == profiles.Direct {
		for _, end := range ends {
			l.cable(from, end)
		}
		return
	}
	outs := first.Tree.Outs
	if outs == 0 && first.Wire >= 0 {
		outs = l.rig.Wiring[first.Wire].Outs
	}
	l.patch.multiples = append(l.patch.multiples, newMultiple(first.Through, outs, from, ends))
}

// ends are the jacks that a branch leads to first: inputs, or that of a module,
// from which cables lead on.
func (l *layer) ends(b *routing.Branch) (ends []Jack) {
	for _, in := range b.Inputs {
		ends = append(ends, l.input(in))
	}
	way := l.rig.Way(b.Via)
	for _, at := range slices.Backward(way) {
		for _, end := range ends {
			l.cable(Jack{l.rig.Gear[at].Name, "out"}, end)
		}
		ends = []Jack{{l.rig.Gear[at].Name, "in"}}
	}
	return ends
}

// cable adds one, if it is not there: several ways share what lies behind a
// module.
func (l *layer) cable(from, to Jack) {
	if c := (Cable{from, to}); !l.laid[c] {
		l.laid[c] = true
		l.patch.cables = append(l.patch.cables, c)
	}
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
	if len(l.patch.ors) == 0 {
		return // and perhaps there is no sequencer, nor any interface
	}
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
		l.patch.multiples = append(l.patch.multiples, newMultiple(l.patch.Way.Through, l.patch.Way.Outs, from, ends))
	}
}

// newMultiple is as many linked multiples of some outputs as it takes, 0 for one that has
// enough.
func newMultiple(through profiles.Through, outs int, from Jack, ends []Jack) multiple {
	m := multiple{through: through, outs: outs, units: 1, feed: from, inputs: ends}
	switch {
	case outs == 0:
	case through == profiles.Buffered:
		m.units = circuit.NewTree(len(ends), outs).Equal()
	default:
		m.units = circuit.NewTree(len(ends), outs).Least()
	}
	return m
}
