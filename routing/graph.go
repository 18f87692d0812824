package routing

import (
	"maps"
	"slices"

	"choirloft/profiles"
	"choirloft/routing/circuit"
)

// The graph of a rig: every jack in use, the multiples and modules behind it, and the
// inputs that they lead to.

// wirer makes the graph of a map.
type wirer struct {
	*Map
	inputs  map[sort]circuit.Part // by kind and input: its part
	outputs map[sort]circuit.Part // by interface, and whether it carries gates
	adders  map[Input]int         // of inputs whose normal stays beside a plug: the part that both go into
	modules []int                 // by module: its part, −1 before it is there
	passed  []bool                // by module: a net goes through it
	behind  map[end]bool
}

// sort is what ends of wires have in common.
type sort struct {
	of   int
	what string
}

// end is an input that a net reaches from a module.
type end struct {
	module int
	Input
}

// wireUp makes the graph, and the loads of all nets.
func (m *Map) wireUp() {
	m.graph, m.ends, m.counted = &circuit.Graph{}, make(map[Input]int, len(m.Nets)), map[int]counted{}
	m.graph.Grow(2 * len(m.Nets))
	w := wirer{m, map[sort]circuit.Part{}, map[sort]circuit.Part{}, map[Input]int{}, make([]int, len(m.Rig.Gear)), make([]bool, len(m.Rig.Gear)), map[end]bool{}}
	w.pass()
	for i := range m.Nets {
		n := &m.Nets[i]
		n.part = m.graph.Add(w.output(n))
		for branches := range n.Wires() {
			w.wire(n, branches)
		}
	}
	w.normals()
	for i := range m.Nets {
		m.Nets[i].Load = m.graph.Load(m.Nets[i].part)
	}
}

// pass notes which modules nets go through, and what they reach from them.
func (w *wirer) pass() {
	for i := range w.modules {
		w.modules[i] = -1
	}
	for i := range w.Nets {
		for _, b := range w.Nets[i].Branches {
			way := w.Rig.Way(b.Via)
			for k, at := range way {
				w.passed[at] = true
				if k < len(way)-1 {
					continue
				}
				for _, in := range b.Inputs {
					w.behind[end{at, in}] = true
				}
			}
		}
	}
}

// output is the jack of a net.
func (w *wirer) output(n *Net) circuit.Part {
	f, carries := &w.Rig.Interfaces[n.Interface], sort{of: n.Interface}
	if w.gates(n) {
		carries.what = gateInput
	}
	p, ok := w.outputs[carries]
	if !ok {
		p = circuit.Output(f.OutputResistance)
		if carries.what == gateInput && f.Gate.STrig {
			p = circuit.Short()
			p.Out = f.OutputResistance
		}
		_, given := w.Rig.Given("interfaces." + f.Name + ".output_resistance")
		p.Assumed = !given && f.OutputResistance > 0
		w.outputs[carries] = p
	}
	return p
}

// gates tells whether a net carries gates.
func (m *Map) gates(n *Net) bool {
	return n.GateJack || m.Rig.Interfaces[n.Interface].Outputs > 0 && slices.ContainsFunc(n.Inputs(), func(i Input) bool { return i.Input == gateInput })
}

// counted is a multiple of so many outputs: what it is called, and where the rig says it.
type counted struct{ name, where string }

// wire leads from the jack of a net to what the branches of one wire lead to.
func (w *wirer) wire(n *Net, branches []Branch) {
	from := n.part
	if wire := branches[0].Wire; branches[0].Through == profiles.Passive && wire >= 0 && w.Rig.Wiring[wire].Outs > 0 {
		from = w.graph.Add(circuit.Part{Kind: circuit.Node, Outs: w.Rig.Wiring[wire].Outs})
		w.graph.Wire(n.part, from)
		w.counted[from] = counted{"the multiple at " + n.JackName(w.Rig), wirePath(wire) + ".through"}
	}
	var ends []int
	if wire := branches[0].Wire; wire >= 0 {
		for _, at := range w.modulesOf(&w.Rig.Wiring[wire]) {
			ends = append(ends, w.module(at))
		}
	}
	for _, b := range branches {
		for _, in := range b.Inputs {
			if b.Via == 0 {
				ends = append(ends, w.end(in))
			}
		}
	}
	level := []int{from}
	for _, n := range branches[0].Tree.Levels {
		next := make([]int, n)
		for i := range next {
			next[i] = w.graph.Add(circuit.Buffer(branches[0].Tree.Outs))
			w.graph.Wire(level[i/branches[0].Tree.Outs], next[i])
		}
		level = next
	}
	for i, end := range ends {
		at := level[0]
		if branches[0].Tree.Outs > 0 {
			at = level[i/branches[0].Tree.Outs]
		}
		w.graph.Wire(at, end)
	}
}

// module is the part of a module, with all that is behind it.
func (w *wirer) module(at int) int {
	if w.modules[at] >= 0 {
		return w.modules[at]
	}
	g := &w.Rig.Gear[at]
	part := w.graph.Add(modulePart(g))
	w.modules[at], w.counted[part] = part, counted{g.Name, "gear." + g.Name}
	for _, on := range g.On {
		if w.passed[on] {
			w.graph.Wire(part, w.module(on))
		}
	}
	for _, t := range g.To {
		for _, in := range InputsOf(w.Rig, t) {
			if w.behind[end{at, in}] {
				w.graph.Wire(part, w.end(in))
			}
		}
	}
	return part
}

func modulePart(g *profiles.Gear) circuit.Part {
	switch g.Does {
	case profiles.DoesPassive:
		return circuit.Part{Kind: circuit.Node, Outs: g.Outs}
	case profiles.DoesAttenuate:
		if g.Pot > 0 {
			return circuit.Pot(g.Gain, g.Pot)
		}
		return circuit.Attenuator(g.Gain)
	case profiles.DoesOffset:
		return circuit.Offset(g.Volts)
	case profiles.DoesInvertCV:
		return circuit.Attenuator(-1)
	case profiles.DoesOr:
		return circuit.Or()
	case profiles.DoesToShort:
		return circuit.ToShort()
	case profiles.DoesFromShort:
		return circuit.FromShort()
	case profiles.DoesInvert:
		return circuit.Inverter()
	case profiles.DoesTrigger:
		return circuit.Trigger(g.Pulse)
	default:
		return circuit.Buffer(g.Outs)
	}
}

// end is the part of an input that a plug leads to.
func (w *wirer) end(i Input) int {
	if at, ok := w.adders[i]; ok {
		return at
	}
	if at, ok := w.ends[i]; ok {
		return at
	}
	of := sort{w.Rig.Banks[i.Bank].Kind, i.Input}
	p, ok := w.inputs[of]
	if !ok {
		p = w.input(i)
		w.inputs[of] = p
	}
	j := w.Rig.Kinds[of.of].Jack(i.Input)
	if !j.Sums || p.Invert { // a contact adds to nothing
		w.ends[i] = w.graph.Add(p)
		return w.ends[i]
	}
	sum := circuit.Part{Kind: circuit.Linear, In: p.In, Gain: 1, Assumed: p.Assumed}
	if j.NormalVolts != nil {
		sum.Offset = *j.NormalVolts
	}
	p.In = 0
	w.adders[i], w.ends[i] = w.graph.Add(sum), w.graph.Add(p)
	w.graph.Within(w.adders[i], w.ends[i])
	return w.adders[i]
}

// input is the part of an input.
func (w *wirer) input(i Input) circuit.Part {
	kind := &w.Rig.Kinds[w.Rig.Banks[i.Bank].Kind]
	r, given := w.resistance(i)
	p := circuit.Input(r)
	switch {
	case i.Input != gateInput:
	case kind.GateActive() == profiles.High:
		p = circuit.GateInput(r, kind.GateThreshold)
	default:
		p = circuit.LowInput(r, kind.GateThreshold)
	}
	p.Assumed = !given
	return p
}

// normals joins what has no plug to the inputs that its normal names, through the switch
// of its jack; and what a plug adds to, with one or without.
func (w *wirer) normals() {
	if !slices.ContainsFunc(w.Rig.Kinds, func(k profiles.Kind) bool { return k.Jacks != nil }) {
		return
	}
	plugs := maps.Clone(w.ends)
	maps.Copy(plugs, w.adders)
	for i := range w.Rig.Voices {
		bank := w.Rig.Voices[i].Bank
		kind := &w.Rig.Kinds[w.Rig.Banks[bank].Kind]
		for _, j := range kind.Jacks {
			at := Input{bank, i, j.Input}
			_, plugged := plugs[at]
			from, there := plugs[Input{bank, i, w.source(plugs, bank, i, j.Normal)}]
			if !there || plugged && !j.Sums {
				continue
			}
			for _, before := range w.graph.Before(from) {
				if j.Sums {
					w.graph.Within(before, w.end(at))
				} else {
					through := w.graph.Add(circuit.Part{Kind: circuit.Switch, Closed: true})
					w.graph.Within(before, through)
					w.graph.Within(through, w.end(at))
				}
			}
		}
	}
}

// source is the input with a plug that an input without one is joined to, by as many
// normals as there are between; the last of them where none has a plug.
func (w *wirer) source(plugs map[Input]int, bank, voice int, input string) string {
	kind := &w.Rig.Kinds[w.Rig.Banks[bank].Kind]
	for {
		next := kind.Jack(input).Normal
		if _, ok := plugs[Input{bank, voice, input}]; ok || next == "" {
			return input
		}
		input = next
	}
}

// resistance is that of an input. Other inputs than pitch and gate are taken to
// be like those of pitch.
func (m *Map) resistance(i Input) (r profiles.Ohms, given bool) {
	kind := &m.Rig.Kinds[m.Rig.Banks[i.Bank].Kind]
	key, r := "pitch_resistance", kind.PitchResistance
	if i.Input == gateInput {
		key, r = "gate_resistance", kind.GateResistance
	}
	_, given = m.Rig.Given("voices." + kind.Name + "." + key)
	return r, given && (i.Input == pitchInput || i.Input == gateInput)
}

// way are the parts from the jack of a net to an input, without these two.
func (m *Map) way(n *Net, i Input) (parts []circuit.Part) {
	at, ok := m.ends[i]
	if !ok {
		return nil
	}
	way := m.graph.Way(n.part, at)
	for k := 1; k < len(way)-1; k++ {
		parts = append(parts, *m.graph.Part(way[k]))
	}
	return parts
}

// amplifiers are those on the way from the jack of a net to an input.
func (m *Map) amplifiers(n *Net, i Input) (parts []circuit.Part) {
	if b := n.Branches; len(b) == 1 && b[0].Through != profiles.Buffered && b[0].Via == 0 {
		return nil // straight, or by a passive multiple
	}
	for _, p := range m.way(n, i) {
		if p.Amplifies() && (p.Kind != circuit.Linear || p.GainError > 0) { // not where an input adds its normal
			parts = append(parts, p)
		}
	}
	return parts
}
