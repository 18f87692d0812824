package circuit

import (
	"slices"

	"choirloft/profiles"
)

// Kind is one of the five kinds of parts.
type Kind uint8

// The kinds. Plugs that meet in a [Node], a [Compare] or a [Switch] are joined; a
// [Linear] and a [Diode] have an input for each.
const (
	Node    Kind = iota // a passive multiple, a stack of plugs: all that leads to it and from it is one
	Linear              // Σ gain·V + offset, an amplifier: buffered multiple, adder, attenuator, inverter; a jack, an input
	Compare             // low or high, or a contact: a gate input, a converter to or from S-trig, a trigger
	Diode               // the highest of its inputs less a drop, never below 0 V: a gate-OR
	Switch              // joins its two sides while it is closed; with nothing before it, its other side and ground
)

// Part is one thing on the way from an output to an input. Which fields count is
// said by its kind.
type Part struct {
	Kind Kind
	// In is the resistance of each input to ground, of a Compare with a Pull to that,
	// of a Node that of the jack; 0 where it draws nothing. Out is that behind the output, 0 inside the loop.
	In, Out profiles.Ohms
	Outs    int  // outputs that it has, 0 for as many as are wanted
	Assumed bool // nobody gave its resistances

	Gain      float64        // of a Linear, for each input; below 0 it inverts
	Offset    profiles.Volts // of a Linear, which without inputs is an output of so many volts
	GainError float64        // limit of the error of Gain, either way
	ZeroError profiles.Volts // limit of the error of Offset, either way
	Drop      profiles.Volts // of a Diode
	Threshold profiles.Volts // of a Compare, which is on while its input reaches it
	Invert    bool           // it is on while its input is below
	Pull      profiles.Volts // that its input rests at with nothing before it
	High      profiles.Volts // its output while it is on; else 0 V
	Contact   bool           // its output is a contact instead, closed to ground while it is on
	// Pulse is how long its output lasts from when it comes on, 0 for as long as it is on; Fired
	// tells whether it is within that.
	Pulse  profiles.Duration
	Fired  bool
	Closed bool // of a Switch
}

// Amplifies tells whether it is on the way as an amplifier, which may stray and
// keeps what is behind it from loading what is before.
func (p *Part) Amplifies() bool { return p.Kind == Linear || p.Kind == Diode || p.Kind == Compare }

// joins tells whether plugs in it meet.
func (p *Part) joins() bool { return p.Kind == Node || p.Kind == Compare || p.Kind == Switch }

// Graph is parts and the wires between them, in no circle.
type Graph struct {
	parts []Part
	ins   [][]int // by part: what leads to it
	plugs []int   // by part: wires that take an output of it
	leads []bool  // by part: something hangs on it
	links []int   // room for the first of each of ins

	joined bool
	net    []int // by side of a part: in at 2·part, out at 2·part + 1
	nets   []net
	round  int // of Set, which what nets remember must be of
}

// net is what is joined electrically.
type net struct {
	drivers []int   // parts whose output it is
	readers []int   // parts with an input on it, once for each
	siemens float64 // of all inputs
	pulled  float64 // Σ volts·siemens that these are pulled to
	round   int
	volts   profiles.Volts
}

// Grow makes room for so many parts more.
func (g *Graph) Grow(parts int) {
	g.parts, g.ins, g.plugs = slices.Grow(g.parts, parts), slices.Grow(g.ins, parts), slices.Grow(g.plugs, parts)
	g.leads, g.links = slices.Grow(g.leads, parts), make([]int, parts)
}

// Add adds a part and gives its number.
func (g *Graph) Add(p Part) int {
	var ins []int
	if n := len(g.links); n > 0 {
		g.links, ins = g.links[:n-1], g.links[n-1:n-1:n]
	}
	g.parts, g.ins, g.plugs, g.joined = append(g.parts, p), append(g.ins, ins), append(g.plugs, 0), false
	g.leads = append(g.leads, false)
	return len(g.parts) - 1
}

// Wire leads from an output of a part to another. One that leads back is a bug of who asks.
func (g *Graph) Wire(from, to int) {
	g.plugs[from]++
	g.Within(from, to)
}

// Within leads from a part to another as Wire does, inside a module: it takes no output.
func (g *Graph) Within(from, to int) {
	g.ins[to], g.leads[from], g.joined = append(g.ins[to], from), true, false
}

// Part is the part of a number.
func (g *Graph) Part(at int) *Part { return &g.parts[at] }

// Set sends so many volts from an output: a Linear without inputs.
func (g *Graph) Set(at int, volts profiles.Volts) { g.parts[at].Offset = volts; g.round++ }

// Close closes a contact without inputs, or opens it.
func (g *Graph) Close(at int, closed bool) {
	g.parts[at].Closed = closed
	g.round++
	if len(g.ins[at]) > 0 { // its sides are joined, or not
		g.joined = false
	}
}

// Fire puts a Compare with a Pulse within it, or beyond.
func (g *Graph) Fire(at int, fired bool) {
	if g.parts[at].Fired != fired {
		g.parts[at].Fired = fired
		g.round++
	}
}

// Full lists the parts that lead to more than they have outputs.
func (g *Graph) Full() (all []int) {
	for i := range g.parts {
		if outs := g.parts[i].Outs; outs > 0 && g.plugs[i] > outs {
			all = append(all, i)
		}
	}
	return all
}

// Before are the parts that wires lead from to a part.
func (g *Graph) Before(to int) []int { return g.ins[to] }

// Plugs is how many outputs of a part are taken.
func (g *Graph) Plugs(from int) int { return g.plugs[from] }

// Way lists the parts from one to another that it leads to, both included, nil
// where it does not: of several ways the first that was wired.
func (g *Graph) Way(from, to int) []int { return g.way(from, to, map[int]bool{}) }

func (g *Graph) way(from, at int, been map[int]bool) []int {
	if at == from {
		return []int{at}
	}
	if been[at] {
		return nil
	}
	if len(g.ins[at]) > 1 { // what has one way in needs no memory
		been[at] = true
	}
	for _, before := range g.ins[at] {
		if way := g.way(from, before, been); way != nil {
			return append(way, at)
		}
	}
	return nil
}

// IsContact tells whether the output of a part is a contact to ground.
func (g *Graph) IsContact(at int) bool {
	p := &g.parts[at]
	return p.Kind == Compare && p.Contact || p.Kind == Switch && len(g.ins[at]) == 0
}
