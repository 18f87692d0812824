package profiles

import (
	"slices"
	"strings"
)

// Wiring: wires from jacks, and the modules that they lead through.

func (x *resolver) resolveWiring() {
	p := &patcher{resolver: x, outs: make([][]int, len(x.draft.gear)), ins: make([][]int, len(x.draft.gear))}
	x.rig.Ways = [][]int{nil}
	before := len(x.faults)
	for i := range x.draft.wiring {
		p.wire(i)
	}
	if len(x.faults) > before {
		return
	}
	p.checkModules()
	if len(x.faults) == before {
		p.lead()
	}
}

// patcher follows wires through modules.
type patcher struct {
	*resolver
	links []link  // by wire
	outs  [][]int // by module: the wires from it
	ins   [][]int // by module: the wires into it
}

// link is the part of a wire that is about modules.
type link struct {
	from int // the module it comes from, −1 for a jack
	to   []spot[int]
}

// wire reads the ends of a wire.
func (p *patcher) wire(i int) {
	w := &p.draft.wiring[i]
	out := Wire{Pos: w.pos, Through: w.value.through.through, Outs: w.value.through.outs, CalibratedWith: w.value.calibrated}
	if out.Normal = w.value.normal.value; out.Normal != NoNormal {
		p.checkNormal(w)
	}
	l := link{from: -1}
	if name := w.value.from; name.value.number == 0 {
		out.From = Jack{Interface: -1, Pos: name.pos}
		if at, ok := p.module(spot[string]{name.value.box, name.pos, name.at}); ok {
			l.from = at
			p.outs[at] = append(p.outs[at], i)
		}
		if out.Through != Direct {
			p.faultAt(w.pos, w.at, complain("through is %s on a wire from %s, want it on wires from jacks alone", out.Through, name.value.box).
				advise("a module behind it does the same: does: %s", out.Through))
		}
	} else {
		out.From, _ = p.jack(name)
	}
	for _, name := range w.value.to {
		if name.value.input != "" {
			if t, ok := p.target(name); ok {
				out.To = append(out.To, t)
			}
			continue
		}
		if at, ok := p.module(spot[string]{name.value.of, name.pos, name.at}); ok {
			l.to, out.On = append(l.to, spot[int]{at, name.pos, name.at}), append(out.On, at)
			p.ins[at] = append(p.ins[at], i)
		}
	}
	p.rig.Wiring, p.links = append(p.rig.Wiring, out), append(p.links, l)
}

// module finds a module that does something.
func (p *patcher) module(name spot[string]) (at int, ok bool) {
	t, ok := p.find(name, inGear)
	if !ok || t.broken {
		return 0, false
	}
	if p.rig.Gear[t.at].Does == DoesNothing {
		p.faultAt(name.pos, name.at, complain("%s does nothing with what a wire brings", name.value).
			advise("write under gear.%s: does: passive, buffered 4, adder, gate-or or another", name.value))
		return 0, false
	}
	return t.at, true
}

// checkModules complains of modules that are wired as no module can be.
func (p *patcher) checkModules() {
	for at := range p.rig.Gear {
		g := &p.rig.Gear[at]
		g.Ins = len(p.ins[at])
		switch {
		case len(p.ins[at]) == 0 && len(p.outs[at]) == 0:
		case len(p.ins[at]) == 0:
			p.faultAt(g.Pos, "gear."+g.Name, complain("%s leads on, but nothing leads to it", g.Name).advise("write a wire to it, such as {from: main.cv 1, to: %s}", g.Name))
		case len(p.outs[at]) == 0:
			p.faultAt(g.Pos, "gear."+g.Name, complain("%s has wires into it and none out of it", g.Name).advise("write a wire from it, such as {from: %s, to: K.cutoff}", g.Name))
		case len(p.ins[at]) > 1 && !g.Does.Joins() && !p.contacts(at):
			p.faultAt(g.Pos, "gear."+g.Name, complain("%s is driven by %d wires, and is %s: outputs are never joined", g.Name, len(p.ins[at]), g.Does).
				advise("an adder, or for gates a gate-or, takes several"))
		}
	}
	state := make([]int, len(p.rig.Gear))
	for at := range p.rig.Gear {
		p.circle(at, state, nil)
	}
}

// contacts tells whether all that leads to a passive multiple is contacts to ground, which
// may meet: whichever closes, it is closed.
func (p *patcher) contacts(at int) bool {
	if p.rig.Gear[at].Does != DoesPassive {
		return false
	}
	for _, wire := range p.ins[at] {
		from := p.rig.Wiring[wire].From
		switch l := p.links[wire]; {
		case l.from < 0 && !(from.Gate && p.rig.Interfaces[from.Interface].Gate.STrig),
			l.from >= 0 && p.rig.Gear[l.from].Does != DoesToShort:
			return false
		}
	}
	return true
}

// The states of a module while circles are looked for.
const (
	notYet = iota
	onTheWay
	seen
)

// circle complains of wires that lead back to where they came from, at the wire
// that closes the circle.
func (p *patcher) circle(at int, state []int, way []int) {
	if state[at] != notYet {
		return
	}
	state[at] = onTheWay
	way = append(way, at)
	for _, wire := range p.outs[at] {
		for _, to := range p.links[wire].to {
			if state[to.value] != onTheWay {
				p.circle(to.value, state, way)
				continue
			}
			var names []string
			for _, x := range append(way[slices.Index(way, to.value):], to.value) {
				names = append(names, p.rig.Gear[x].Name)
			}
			p.faultAt(to.pos, to.at, complain("the wires lead in a circle: %s", strings.Join(names, ", ")))
		}
	}
	state[at] = seen
}

// lead gives wires from jacks all that is behind the modules they lead to.
func (p *patcher) lead() {
	for i, l := range p.links {
		w := &p.rig.Wiring[i]
		if l.from >= 0 || w.From.Interface < 0 { // from a module, or from what was refused when it was read
			continue
		}
		been := make([]bool, len(p.rig.Gear))
		for _, to := range l.to {
			p.follow(w, to, nil, been)
		}
	}
	for i, l := range p.links {
		if l.from < 0 {
			continue
		}
		g := &p.rig.Gear[l.from]
		g.To, g.On = append(g.To, p.rig.Wiring[i].To...), append(g.On, p.rig.Wiring[i].On...)
		p.rig.Wiring[i].To = nil
	}
}

// follow adds to a wire what is behind a module. A module that the wire reaches
// twice counts once.
func (p *patcher) follow(w *Wire, to spot[int], way []int, been []bool) {
	g := &p.rig.Gear[to.value]
	if (g.Does.forGates() || g.Does.forCVs()) && w.From.Gate != g.Does.forGates() && p.rig.Interfaces[w.From.Interface].Outputs == 0 {
		kind, want := "CVs", "an adder"
		if w.From.Gate {
			kind, want = "gates", "a gate-or"
		}
		c := complain("%s is %s, which is not for %s", g.Name, article(g.Does), kind)
		switch {
		case g.Does.Joins():
			c.advise("%s is", want)
		case g.Does == DoesInvert:
			c.advise("a cv-inverter is")
		case g.Does == DoesInvertCV:
			c.advise("an inverter is")
		}
		p.faultAt(to.pos, to.at, c)
		return
	}
	if been[to.value] {
		return
	}
	been[to.value] = true
	way = append(slices.Clip(way), to.value)
	via := p.way(way)
	for _, wire := range p.outs[to.value] {
		for _, t := range p.rig.Wiring[wire].To {
			t.Via = via
			w.To = append(w.To, t)
		}
		for _, further := range p.links[wire].to {
			p.follow(w, further, way, been)
		}
	}
}

func article(d Does) string {
	switch d {
	case DoesAdd, DoesAttenuate, DoesOffset, DoesInvert:
		return "an " + d.String()
	case DoesToShort:
		return "a converter to S-trig"
	case DoesFromShort:
		return "a converter from S-trig"
	}
	return "a " + d.String()
}

// way is the index of a way, which is added where it is new.
func (p *patcher) way(modules []int) int {
	if i := slices.IndexFunc(p.rig.Ways, func(w []int) bool { return slices.Equal(w, modules) }); i > 0 {
		return i
	}
	p.rig.Ways = append(p.rig.Ways, modules)
	return len(p.rig.Ways) - 1
}
