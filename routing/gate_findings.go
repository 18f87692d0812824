package routing

import (
	"choirloft/profiles"
	"choirloft/routing/circuit"
)

// gateCase is what is said of the gates of an interface and a kind of voice,
// once for all of them.
type gateCase struct {
	code            Code
	interfaceAt, of int // indexes into Rig.Interfaces and Rig.Kinds
}

// findGates says which gates do not open what they lead to, or not for long
// enough.
func (m *Map) findGates() {
	var order []gateCase
	names, least := map[gateCase][]string{}, map[gateCase]circuit.Gate{}
	for i := range m.Nets {
		n := &m.Nets[i]
		for _, b := range n.Branches {
			for _, in := range b.Inputs {
				if in.Input != gateInput || !n.GateJack && m.Rig.Interfaces[n.Interface].Outputs == 0 {
					continue
				}
				of := m.Rig.Banks[in.Bank].Kind
				g := m.gate(n, &b, &m.Rig.Kinds[of])
				for _, code := range m.gateFaults(n, g, &m.Rig.Kinds[of]) {
					c := gateCase{code, n.Interface, of}
					if names[c] == nil {
						order = append(order, c)
					}
					names[c] = append(names[c], in.Name(m.Rig))
					if least[c].Volts == 0 || g.AtInput() < least[c].AtInput() {
						least[c] = g
					}
				}
			}
		}
	}
	for _, c := range order {
		m.findGate(c, names[c], least[c])
	}
}

// gate is what a net brings by a branch to the gates of a kind of voice. A gate-OR is taken
// to be of diodes.
func (m *Map) gate(n *Net, b *Branch, kind *profiles.Kind) circuit.Gate {
	g := circuit.Gate{Volts: m.Rig.Interfaces[n.Interface].Gate.Volts, Load: n.Load, Threshold: kind.GateThreshold}
	for _, at := range m.Rig.Way(b.Via) {
		if m.Rig.Gear[at].Does == profiles.DoesOr {
			g.Diodes++
		}
	}
	return g
}

// gateFaults lists what is wrong with a gate of a net for a kind of voice.
func (m *Map) gateFaults(n *Net, g circuit.Gate, kind *profiles.Kind) (codes []Code) {
	f := &m.Rig.Interfaces[n.Interface]
	switch {
	case f.Gate.STrig != (kind.GateInput == profiles.STrig):
		codes = append(codes, GatePolarity)
	case f.Gate.STrig:
	case g.AtInput() < g.Threshold:
		codes = append(codes, GateTooLow)
	case g.AtInput() < g.Wanted():
		codes = append(codes, GateMargin)
	}
	if f.Trigger > 0 && !outlives(kind, f.Trigger) {
		codes = append(codes, TriggerTooShort)
	}
	return codes
}

// outlives tells whether an envelope of a kind does all it does within a gate
// of that length: its attack, where it does not sustain; never where it does.
func outlives(kind *profiles.Kind, gate profiles.Duration) bool {
	return kind.Envelope.Sustain == 0 && gate >= kind.Envelope.Attack+kind.Envelope.Decay
}

// findGate makes the finding.
func (m *Map) findGate(c gateCase, names []string, g circuit.Gate) {
	f, kind := &m.Rig.Interfaces[c.interfaceAt], &m.Rig.Kinds[c.of]
	where, box, inputs := "interfaces."+f.Name+".gate", Named("interface", f.Name), Named("inputs", names...)
	switch c.code {
	case GatePolarity:
		facts := []Fact{box, inputs}
		if f.Gate.STrig {
			facts = append(facts, Named("s_trig", f.Name))
		}
		m.find(c.code, where, facts...)
	case GateTooLow, GateMargin:
		_, given := m.Rig.Given("voices." + kind.Name + ".gate_threshold")
		facts := []Fact{box, inputs, Number("volts", g.AtInput(), "V").Main(), Number("threshold", g.Threshold, "V").Assume(!given),
			Number("spare", 100*circuit.GateMargin, "%"), Number("wanted", g.Wanted(), "V")}
		if g.Diodes > 0 {
			facts = append(facts, Number("drop", circuit.DiodeDrop*profiles.Volts(g.Diodes), "V").Assume(true))
		}
		m.find(c.code, where, facts...)
	case TriggerTooShort:
		m.find(c.code, "interfaces."+f.Name+".trigger", box, inputs, Number("length", float64(f.Trigger)/1e6, "ms").Main())
	}
}
