package circuit

import (
	"math"

	"choirloft/profiles"
)

// join finds what is joined electrically, and what hangs on it.
func (g *Graph) join() {
	if g.joined {
		return
	}
	g.joined = true
	side := make([]int, 2*len(g.parts)) // each leads to another of its net, or to itself
	for i := range side {
		side[i] = i
	}
	for p := range g.parts {
		if k := g.parts[p].Kind; k == Node || k == Switch && g.parts[p].Closed && len(g.ins[p]) > 0 {
			unite(side, 2*p, 2*p+1)
		}
		for _, before := range g.ins[p] {
			if g.parts[p].joins() {
				unite(side, 2*before+1, 2*p)
			}
		}
	}
	g.net = make([]int, len(side))
	roots := 0
	for i := range side {
		if root(side, i) == i && g.counts(i) {
			roots++
		}
	}
	g.nets = make([]net, 0, roots)
	room := make([]int, 2*roots) // for the first driver and the first reader of each
	for i := range side {
		g.net[i] = -1
		if at := root(side, i); at < i {
			g.net[i] = g.net[at]
		} else if n := 2 * len(g.nets); g.counts(i) {
			g.net[i] = len(g.nets)
			g.nets = append(g.nets, net{round: g.round - 1, drivers: room[n : n : n+1], readers: room[n+1 : n+1 : n+2]})
		}
	}
	for p := range g.parts {
		g.hang(p)
	}
}

// counts tells whether a side of a part can have volts of its own: a Linear and a Diode
// have inputs by the wires that lead there, and what nothing leads from gives nothing.
func (g *Graph) counts(side int) bool {
	p := &g.parts[side/2]
	if side%2 == 0 {
		return p.joins()
	}
	return p.Kind != Compare || g.leads[side/2]
}

// unite makes one net of two, of which the lower side is the root.
func unite(side []int, a, b int) {
	a, b = root(side, a), root(side, b)
	side[max(a, b)] = min(a, b)
}

func root(side []int, i int) int {
	for side[i] != i {
		side[i] = side[side[i]]
		i = side[i]
	}
	return i
}

// hang notes what a part drives, and what it reads.
func (g *Graph) hang(at int) {
	p := &g.parts[at]
	if g.net[2*at+1] >= 0 && (p.Kind == Linear || p.Kind == Diode || p.Kind == Compare || g.IsContact(at)) {
		n := &g.nets[g.net[2*at+1]]
		n.drivers = append(n.drivers, at)
	}
	read := func(net int) {
		n := &g.nets[net]
		n.readers = append(n.readers, at)
		if p.In > 0 {
			n.siemens += 1 / float64(p.In)
			n.pulled += float64(p.Pull) / float64(p.In)
		}
	}
	if p.Kind == Compare || p.Kind == Node {
		read(g.net[2*at])
	}
	if p.Kind == Linear || p.Kind == Diode {
		for _, before := range g.ins[at] {
			read(g.net[2*before+1])
		}
	}
}

// Load is what hangs on the output of a part.
func (g *Graph) Load(at int) Load {
	g.join()
	n := &g.nets[g.net[2*at+1]]
	l := Load{Source: g.parts[at].Out, Assumed: g.parts[at].Assumed}
	for _, p := range n.readers {
		if g.parts[p].In > 0 {
			l.Inputs, l.Assumed = append(l.Inputs, g.parts[p].In), l.Assumed || g.parts[p].Assumed
		}
	}
	return l
}

// Volts are those at the input of a part, or of the first of its inputs.
func (g *Graph) Volts(at int) profiles.Volts {
	g.join()
	if g.parts[at].joins() {
		return g.at(g.net[2*at])
	}
	return g.at(g.net[2*g.ins[at][0]+1])
}

// On tells whether a Compare is.
func (g *Graph) On(at int) bool { return g.Volts(at) > g.parts[at].Threshold != g.parts[at].Invert }

// at are the volts of a net: by Millman's theorem Σ V/R / Σ 1/R over what drives it
// and what loads it. A closed contact takes it to ground, and an output without
// resistance holds it.
func (g *Graph) at(at int) profiles.Volts {
	n := &g.nets[at]
	if n.round == g.round {
		return n.volts
	}
	n.round, n.volts = g.round, 0
	above, below, held := n.pulled, n.siemens, math.NaN()
	for _, p := range n.drivers {
		volts, open := g.out(p)
		switch r := float64(g.parts[p].Out); {
		case open:
		case g.IsContact(p):
			return 0
		case r == 0:
			held = float64(volts)
		default:
			above, below = above+float64(volts)/r, below+1/r
		}
	}
	switch {
	case !math.IsNaN(held):
		n.volts = profiles.Volts(held)
	case below > 0:
		n.volts = profiles.Volts(above / below)
	}
	return n.volts
}

// out is what a part puts out before its resistance; an open contact nothing.
func (g *Graph) out(at int) (volts profiles.Volts, open bool) {
	switch p := &g.parts[at]; p.Kind {
	case Linear:
		volts = p.Offset
		for _, before := range g.ins[at] {
			volts += profiles.Volts(p.Gain) * g.at(g.net[2*before+1])
		}
		return volts, false
	case Diode:
		for _, before := range g.ins[at] {
			volts = max(volts, g.at(g.net[2*before+1])-p.Drop)
		}
		return volts, false
	case Compare:
		on := g.On(at)
		if p.Pulse > 0 {
			on = p.Fired
		}
		if p.Contact {
			return 0, !on
		}
		if on {
			return p.High, false
		}
		return 0, false
	default: // a contact
		return 0, !p.Closed
	}
}
