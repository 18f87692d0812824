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
	diodes          bool              // on the way
	pulse           profiles.Duration // of triggers, where it is about these
	least           profiles.Duration // that opens the voice
	module          bool              // which gives them, not the interface
}

// gateDoes is when an input for gates is open, if not while its gate is.
type gateDoes uint8

const (
	opensNever gateDoes = iota
	opensAtRest
	opensAlways
	opensAtEnd // when a key goes up, for a trigger
)

// gated is what a gate of a net does at an input.
type gated struct {
	rest, down       bool           // the input is open: while no key is down, while one is
	volts, threshold profiles.Volts // where the gate is weakest on its way, high
	wrongWay         bool           // that input wants it low
	drop             profiles.Volts // that diodes take before
	atEnd            bool           // a trigger on the way begins when the key goes up

	net *Net // it comes from
	in  Input
}

// findGates says which gates do not open what they lead to, or not for long
// enough.
func (m *Map) findGates() {
	var order []gateCase
	names, modules, least := map[gateCase][]string{}, map[gateCase][]string{}, map[gateCase]gated{}
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
				if _, by := m.pulse(n, in); c.module && !slices.Contains(modules[c], by) {
					modules[c] = append(modules[c], by)
				}
				if old, ok := least[c]; !ok || g.volts < old.volts {
					least[c] = g
				}
			}
		}
	}
	for _, c := range order {
		if c.pulse > 0 {
			m.findTrigger(c, Named("inputs", names[c]...), Named("modules", modules[c]...))
			continue
		}
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
	up, on := make([]profiles.Volts, len(way)), make([]bool, len(way))
	press(false)
	g.rest = graph.On(sink)
	for k, at := range way {
		if k > 0 {
			up[k], on[k] = graph.Volts(at), graph.Part(at).Kind == circuit.Compare && graph.On(at)
		}
	}
	press(true)
	for k, at := range way {
		if graph.Part(at).Pulse > 0 {
			graph.Fire(at, !on[k] && graph.On(at))
			g.atEnd = g.atEnd || on[k] && !graph.On(at)
		}
	}
	g.down = graph.On(sink)
	g.weakest(graph, way, up)
	press(false)
	for _, at := range way {
		graph.Fire(at, false)
	}
	return g
}

// weakest finds where a gate has the least to spare, the first place that it does not reach
// where there is one, and what diodes take, with the volts at rest.
func (g *gated) weakest(graph *circuit.Graph, way []int, up []profiles.Volts) {
	least := math.Inf(1)
	for k, at := range way[1:] {
		switch p := graph.Part(at); p.Kind {
		case circuit.Diode:
			g.drop += p.Drop
		case circuit.Compare:
			high := max(up[k+1], graph.Volts(at))
			if spare := float64(high / p.Threshold); spare < least && least >= 1 {
				least, g.volts, g.threshold, g.wrongWay = spare, high, p.Threshold, p.Invert || high == up[k+1]
			}
		}
	}
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
	case g.atEnd:
		return GatePolarity
	case !g.wrongWay && g.volts < g.threshold:
		return GateTooLow
	}
	return GatePolarity
}

// gateFaults lists what is wrong with a gate of a net for a kind of voice.
func (m *Map) gateFaults(n *Net, g gated, of int) (cases []gateCase) {
	kind := &m.Rig.Kinds[of]
	c := gateCase{code: g.fault(), interfaceAt: n.Interface, of: of, diodes: g.drop > 0}
	switch {
	case c.code == GatePolarity && g.atEnd && !g.rest:
		c.does = opensAtEnd
	case c.code == GatePolarity && g.rest:
		c.does = map[bool]gateDoes{true: opensAlways, false: opensAtRest}[g.down]
	}
	if c.code != fine {
		cases = append(cases, c)
	}
	pulse, by := m.pulse(n, g.in)
	c = gateCase{interfaceAt: n.Interface, of: of, pulse: pulse, module: by != ""}
	if pulse > 0 && !outlives(kind, pulse) {
		c.code = TriggerTooShort
		cases = append(cases, c)
	}
	if c.least = m.opensBy(g.in.Voice); pulse > 0 && pulse < c.least {
		c.code = TriggerOpensNothing
		cases = append(cases, c)
	}
	return cases
}

// outlives tells whether an envelope of a kind loses nothing by a gate of that length:
// where it does not sustain, and has decayed by then, or goes on no faster after its
// attack. One that sustains always does.
func outlives(kind *profiles.Kind, gate profiles.Duration) bool {
	e := &kind.Envelope
	return e.Sustain == 0 && gate >= e.Attack && (gate >= e.Attack+e.Decay || e.Release >= e.Decay)
}

// opensBy is the shortest gate that opens a voice: measured, or else that of the rig.
func (m *Map) opensBy(voice int) profiles.Duration {
	if a := m.Rig.Voices[voice].Answer; a != nil && a.MinGate != nil {
		return *a.MinGate
	}
	return m.Rig.ShortestGate()
}

// Pulse is how long the gate of a voice is high at most, however long its key is down: by
// the last module before it that gives triggers, or by its interface. It is 0 where nothing
// ends it before the key does.
func (m *Map) Pulse(voice int) profiles.Duration {
	n := m.NetOf(m.Voices[voice].Lane(gateInput))
	if n == nil {
		return 0
	}
	pulse, _ := m.pulse(n, Input{m.Rig.Voices[voice].Bank, voice, gateInput})
	return pulse
}

// pulse is that of a net's gates at an input, and the module that makes it, if none of the
// interface does.
func (m *Map) pulse(n *Net, in Input) (length profiles.Duration, by string) {
	length = m.Rig.Interfaces[n.Interface].Trigger
	at, ok := m.ends[in]
	if !ok {
		return length, ""
	}
	for _, part := range m.graph.Way(n.part, at) {
		if p := m.graph.Part(part).Pulse; p > 0 {
			length, by = p, m.counted[part].name
		}
	}
	return length, by
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
		case opensAtEnd:
			facts = append(facts, Named("opens_at_end", f.Name))
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
	}
}

// findTrigger makes the finding of gates that are too short.
func (m *Map) findTrigger(c gateCase, inputs, modules Fact) {
	f := m.Rig.Interfaces[c.interfaceAt].Name
	where, by := "interfaces."+f+".trigger", Named("interface", f)
	if c.module {
		where, by = "gear."+modules.Names[0], modules
	}
	facts := []Fact{by, inputs, Number("length", c.pulse.Seconds()*1e3, "ms").Main()}
	if c.code == TriggerOpensNothing {
		_, given := m.Rig.Given("timing.min_gate")
		_, measured := m.Rig.NeededGate()
		facts = append(facts, Number("least", c.least.Seconds()*1e3, "ms").Assume(!given && !measured))
	}
	m.find(c.code, where, facts...)
}
