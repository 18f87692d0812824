package routing

import (
	"math"
	"slices"

	"choirloft/profiles"
	"choirloft/routing/circuit"
)

// gateCase is what is said of the gates of an interface and a kind of voice,
// once for all of them.
type gateCase struct {
	code            Code
	interfaceAt, of int // indexes into Rig.Interfaces and Rig.Kinds
	does            gateDoes
	diodes          bool // on the way
}

// gateDoes is when an input for gates is open, if not while its gate is.
type gateDoes uint8

const (
	opensNever gateDoes = iota
	opensAtRest
	opensAlways
)

// gated is what a gate of a net does at an input.
type gated struct {
	rest, down       bool           // the input is open: while no key is down, while one is
	volts, threshold profiles.Volts // where the gate is weakest on its way, high
	wrongWay         bool           // that input wants it low
	drop             profiles.Volts // that diodes take before

	net *Net // it comes from
	in  Input
}

// findGates says which gates do not open what they lead to, or not for long
// enough.
func (m *Map) findGates() {
	var order []gateCase
	names, least := map[gateCase][]string{}, map[gateCase]gated{}
	for i := range m.Nets { // all at rest, so that each is played by itself
		if n := &m.Nets[i]; m.gates(n) {
			f := &m.Rig.Interfaces[n.Interface]
			press(m.graph, n.part, sent{f.Gate.Volts, f.Active}, false)
		}
	}
	for i := range m.Nets {
		n := &m.Nets[i]
		for _, in := range n.Inputs() {
			if in.Input != gateInput || !m.gates(n) {
				continue
			}
			of := m.Rig.Banks[in.Bank].Kind
			g := m.gated(n, in)
			g.net, g.in = n, in
			for _, c := range m.gateFaults(n, g, of) {
				if names[c] == nil {
					order = append(order, c)
				}
				if name := in.Name(m.Rig); !slices.Contains(names[c], name) { // two jacks may lead to one
					names[c] = append(names[c], name)
				}
				if old, ok := least[c]; !ok || g.volts < old.volts {
					least[c] = g
				}
			}
		}
	}
	for _, c := range order {
		m.findGate(c, names[c], least[c])
	}
}

// press makes an output what it is while a key is down, or while none is.
func press(g *circuit.Graph, out int, s sent, down bool) {
	switch {
	case g.IsContact(out):
		g.Close(out, down)
	case down != (s.active == profiles.Low):
		g.Set(out, s.volts)
	default:
		g.Set(out, 0)
	}
}

// gated plays a gate of a net into an input.
func (m *Map) gated(n *Net, in Input) gated {
	f := &m.Rig.Interfaces[n.Interface]
	return playGate(m.graph, m.graph.Way(n.part, m.ends[in]), func(down bool) { press(m.graph, n.part, sent{f.Gate.Volts, f.Active}, down) })
}

// playGate plays a gate along a way.
func playGate(graph *circuit.Graph, way []int, press func(down bool)) (g gated) {
	sink := way[len(way)-1]
	up := make([]profiles.Volts, len(way))
	press(false)
	g.rest = graph.On(sink)
	for k, at := range way[1:] {
		up[k+1] = graph.Volts(at)
	}
	press(true)
	g.down = graph.On(sink)
	least := math.Inf(1)
	for k, at := range way[1:] {
		switch p := graph.Part(at); p.Kind {
		case circuit.Diode:
			g.drop += p.Drop
		case circuit.Compare:
			high := max(up[k+1], graph.Volts(at))
			if spare := float64(high / p.Threshold); spare < least {
				least, g.volts, g.threshold, g.wrongWay = spare, high, p.Threshold, p.Invert || high == up[k+1]
			}
		}
	}
	press(false)
	return g
}

// fine is no fault.
const fine = Code("")

// fault is what is wrong with a gate.
func (g *gated) fault() Code {
	switch {
	case !g.rest && g.down && (g.wrongWay || g.volts >= g.threshold*(1+circuit.GateMargin)):
		return fine
	case !g.rest && g.down:
		return GateMargin
	case !g.wrongWay && g.volts < g.threshold:
		return GateTooLow
	}
	return GatePolarity
}

// gateFaults lists what is wrong with a gate of a net for a kind of voice.
func (m *Map) gateFaults(n *Net, g gated, of int) (cases []gateCase) {
	f, kind := &m.Rig.Interfaces[n.Interface], &m.Rig.Kinds[of]
	c := gateCase{g.fault(), n.Interface, of, opensNever, g.drop > 0}
	if c.code == GatePolarity && g.rest {
		c.does = map[bool]gateDoes{true: opensAlways, false: opensAtRest}[g.down]
	}
	if c.code != fine {
		cases = append(cases, c)
	}
	if f.Trigger > 0 && !outlives(kind, f.Trigger) {
		cases = append(cases, gateCase{code: TriggerTooShort, interfaceAt: n.Interface, of: of})
	}
	return cases
}

// outlives tells whether an envelope of a kind does all it does within a gate
// of that length: its attack, where it does not sustain; never where it does.
func outlives(kind *profiles.Kind, gate profiles.Duration) bool {
	return kind.Envelope.Sustain == 0 && gate >= kind.Envelope.Attack+kind.Envelope.Decay
}

// activeWords say what a gate is.
var activeWords = [...]string{profiles.High: "volts", profiles.Low: "volts that are low while a key is down", profiles.Closed: "S-trig, a short to ground"}

// findGate makes the finding.
func (m *Map) findGate(c gateCase, names []string, g gated) {
	f, kind := &m.Rig.Interfaces[c.interfaceAt], &m.Rig.Kinds[c.of]
	where, box, inputs := "interfaces."+f.Name+".gate", Named("interface", f.Name), Named("inputs", names...)
	switch c.code {
	case GatePolarity:
		facts := []Fact{box, inputs, Named("gives", activeWords[f.Active]), Named("needs", activeWords[kind.GateActive()])}
		if !f.Gate.STrig && kind.GateActive() == profiles.Closed {
			facts = append(facts, Named("harm", f.Name))
		}
		switch c.does {
		case opensAtRest:
			facts = append(facts, Named("sounds_at_rest", f.Name))
		case opensAlways:
			facts = append(facts, Named("sounds_always", f.Name))
		}
		m.find(c.code, where, append(facts, m.gateFixes(g.net, g.in)...)...)
	case GateTooLow, GateMargin:
		_, given := m.Rig.Given("voices." + kind.Name + ".gate_threshold")
		facts := []Fact{box, inputs, Number("volts", g.volts, "V").Main(), Number("threshold", g.threshold, "V").Assume(!given),
			Number("spare", 100*circuit.GateMargin, "%"), Number("wanted", g.threshold*(1+circuit.GateMargin), "V")}
		if g.drop > 0 {
			facts = append(facts, Number("drop", g.drop, "V").Assume(true))
		}
		m.find(c.code, where, append(facts, m.gateFixes(g.net, g.in)...)...)
	case TriggerTooShort:
		m.find(c.code, "interfaces."+f.Name+".trigger", box, inputs, Number("length", float64(f.Trigger)/1e6, "ms").Main())
	}
}
