package routing

import (
	"cmp"
	"iter"
	"slices"

	"choirloft/profiles"
	"choirloft/routing/circuit"
)

// Nets: what hangs on each jack.
//
// An input of one voice, K1.cutoff, is a jack. K.pitch is the common pitch jack
// of the bank where its kind has one, and otherwise those of all its voices;
// K.gate those of all its voices. Any other input of a bank, K.cutoff, is one
// common jack on its panel.
//
// A macro, or a lane, that no wire carries goes straight to its input, or by a
// passive multiple to several.

// Net is an output and all that hangs on it.
type Net struct {
	Outlet
	Lanes    []string // that come out of it
	Branches []Branch
	Load     circuit.Load
	// Calibrated is how many inputs hung on the output when it was calibrated:
	// of several wires on it, the most that one of them says.
	Calibrated int
	part       int // of the graph
}

// Branch is one way from the output of a net to some inputs.
type Branch struct {
	Wire    int // index into Rig.Wiring, −1 where the rig says nothing of it
	Through profiles.Through
	Tree    circuit.Tree    // of buffered multiples, empty without; with the first branch of a wire
	Ends    int             // plugs that the wire leads to; with its first branch
	Via     int             // index into Rig.Ways: modules on the way, 0 for none
	Normal  profiles.Normal // it is behind the panels, and takes no cable
	Inputs  []Input
}

// Input is a jack that a net reaches.
type Input struct {
	Bank  int // index into Rig.Banks
	Voice int // index into Rig.Voices, −1 for a common jack of the bank
	Input string
}

// Name is the input as a rig writes it.
func (i Input) Name(rig *profiles.Rig) string {
	return targetName(rig, profiles.Target{Bank: i.Bank, Voice: i.Voice, Input: i.Input})
}

// Group tells whether it is the common pitch jack of a bank.
func (i Input) Group() bool { return i.Voice < 0 && i.Input == pitchInput }

// JackName names the jack: main cv 21.
func (o *Outlet) JackName(rig *profiles.Rig) string {
	return jackName(rig, o.Interface, o.GateJack, o.Jack)
}

// NetOf is the net that a lane comes out of, nil without a jack, or for nil.
func (m *Map) NetOf(l *Lane) *Net {
	if l == nil || !l.Fits() {
		return nil
	}
	return &m.Nets[m.netAt[m.jackOf(&l.Outlet)]]
}

// jackOf is the jack of an outlet: one and the same for a CV and a gate from an
// output that gives either.
func (m *Map) jackOf(o *Outlet) jackKey {
	return jackKey{o.Interface, o.GateJack && m.Rig.Interfaces[o.Interface].Outputs == 0, o.Jack}
}

// Inputs lists all that a net reaches.
func (n *Net) Inputs() (all []Input) {
	for _, b := range n.Branches {
		all = append(all, b.Inputs...)
	}
	return all
}

// InputsOf lists the jacks that a target of a rig stands for.
func InputsOf(rig *profiles.Rig, t profiles.Target) (all []Input) {
	for _, end := range rig.Ends(t) {
		all = append(all, Input{end.Bank, end.Voice, end.Input})
	}
	return all
}

// connect lists what hangs on each jack in use, by interface, CVs before gates.
func (m *Map) connect() {
	lanes := m.Lanes()
	m.netAt, m.Nets = make(map[jackKey]int, len(lanes)), make([]Net, 0, len(lanes))
	for _, l := range lanes {
		if !l.Fits() {
			continue
		}
		key := m.jackOf(&l.Outlet)
		i, ok := m.netAt[key]
		if !ok {
			i = len(m.Nets)
			m.netAt[key] = i
			m.Nets = append(m.Nets, Net{Outlet: l.Outlet, Calibrated: 1})
			m.wires(&m.Nets[i])
		}
		m.Nets[i].Lanes = append(m.Nets[i].Lanes, l.Name)
		m.Nets[i].reach(m.EndsOf(l))
	}
	order := make([]*Net, len(m.Nets)) // nets are large
	for i := range m.Nets {
		order[i] = &m.Nets[i]
	}
	slices.SortFunc(order, func(a, b *Net) int {
		return cmp.Or(cmp.Compare(a.Interface, b.Interface), cmp.Compare(rank(a.GateJack), rank(b.GateJack)), cmp.Compare(a.Jack, b.Jack))
	})
	sorted := make([]Net, len(order))
	for i, n := range order {
		sorted[i] = *n
	}
	m.Nets = sorted
	for i := range m.Nets {
		m.netAt[m.jackOf(&m.Nets[i].Outlet)] = i
	}
	m.wireUp()
}

func rank(gate bool) int {
	if gate {
		return 1
	}
	return 0
}

// wires adds the branches of the wires from the jack of a net.
func (m *Map) wires(n *Net) {
	for i := range m.Rig.Wiring {
		w := &m.Rig.Wiring[i]
		from := Outlet{Interface: w.From.Interface, GateJack: w.From.Gate, Jack: w.From.Number}
		if !from.sameJack(&n.Outlet, m.Rig) {
			continue
		}
		n.Calibrated = max(n.Calibrated, w.CalibratedWith)
		n.Branches = append(n.Branches, m.branches(w, i)...)
	}
}

// branches are the ways of a wire: straight, and through modules, a branch for
// each way. A multiple that the wire goes through stands with the first.
func (m *Map) branches(w *profiles.Wire, wire int) (all []Branch) {
	ends := len(m.modulesOf(w))
	for _, t := range w.To {
		i := slices.IndexFunc(all, func(b Branch) bool { return b.Via == t.Via })
		if i < 0 {
			i = len(all)
			all = append(all, Branch{Wire: wire, Through: w.Through, Via: t.Via, Normal: w.Normal})
		}
		inputs := InputsOf(m.Rig, t)
		all[i].Inputs = append(all[i].Inputs, inputs...)
		if t.Via == 0 {
			ends += len(inputs)
		}
	}
	for i := range all {
		if all[i].Through == profiles.Direct && ends > 1 && w.Normal == profiles.NoNormal {
			all[i].Through = profiles.Passive
		}
	}
	if all != nil {
		all[0].Ends = ends
		if w.Through == profiles.Buffered {
			all[0].Tree = circuit.NewTree(ends, w.Outs)
		}
	}
	return all
}

// modulesOf are the modules that a wire leads to itself and that lead on.
func (m *Map) modulesOf(w *profiles.Wire) (modules []int) {
	for _, on := range w.On {
		if slices.ContainsFunc(w.To, func(t profiles.Target) bool { return slices.Contains(m.Rig.Way(t.Via), on) }) {
			modules = append(modules, on)
		}
	}
	return modules
}

// EndsOf lists the jacks that a lane of the map leads to; none for what is only
// wired, all of which is in its wires.
func (m *Map) EndsOf(l *Lane) (all []Input) {
	switch {
	case l.Macro >= 0:
		for _, t := range m.Rig.Macros[l.Macro].To {
			all = append(all, InputsOf(m.Rig, t)...)
		}
	case l.onlyWired():
	default:
		all = InputsOf(m.Rig, profiles.Target{Bank: l.Bank, Voice: l.Voice, Input: l.Input})
	}
	return all
}

// reach adds the inputs that no branch reaches yet: straight, or from a passive
// multiple where they are several.
func (n *Net) reach(ends []Input) {
	there := n.Inputs()
	ends = slices.DeleteFunc(ends, func(i Input) bool { return slices.Contains(there, i) || n.common(there, i) })
	if len(ends) == 0 {
		return
	}
	at := slices.IndexFunc(n.Branches, func(b Branch) bool { return b.Wire < 0 }) // of voices that share the jack
	if at < 0 {
		at, n.Branches = len(n.Branches), append(n.Branches, Branch{Wire: -1})
	}
	b := &n.Branches[at]
	if b.Inputs = append(b.Inputs, ends...); len(b.Inputs) > 1 {
		b.Through = profiles.Passive
	}
}

// common tells whether a bank's jack among the inputs reaches the input too.
func (n *Net) common(there []Input, i Input) bool {
	return i.Voice >= 0 && i.Input != pitchInput && slices.Contains(there, Input{i.Bank, -1, i.Input})
}

// Bend is what the load of a net does to pitch: cents per octave from 0 V, or,
// with hertz per volt, cents everywhere.
func (m *Map) Bend(n *Net) float64 { return m.bendSince(n, n.Calibrated) }

// bendSince is the same against a load of so many inputs.
func (m *Map) bendSince(n *Net, inputs int) float64 {
	calibrated := n.Load.Calibrated(inputs)
	if m.Rig.Interfaces[n.Interface].Scale.HertzPerVolt() {
		return circuit.Shift(n.Load, calibrated)
	}
	return circuit.Bend(n.Load, calibrated)
}

// Wires are the branches, those of one wire together: they share its multiple.
func (n *Net) Wires() iter.Seq[[]Branch] {
	return func(yield func([]Branch) bool) {
		for i := 0; i < len(n.Branches); {
			j := i + 1
			for j < len(n.Branches) && n.Branches[i].Wire >= 0 && n.Branches[j].Wire == n.Branches[i].Wire {
				j++
			}
			if !yield(n.Branches[i:j]) {
				return
			}
			i = j
		}
	}
}
