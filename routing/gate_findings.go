package routing

import (
	"fmt"

	"choirloft/profiles"
	"choirloft/profiles/unit"
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
		for _, in := range n.Inputs() {
			if in.Input != gateInput || !n.GateJack && m.Rig.Interfaces[n.Interface].Outputs == 0 {
				continue
			}
			of := m.Rig.Banks[in.Bank].Kind
			for _, code := range m.gateFaults(n, &m.Rig.Kinds[of]) {
				c := gateCase{code, n.Interface, of}
				if names[c] == nil {
					order = append(order, c)
				}
				names[c] = append(names[c], in.Name(m.Rig))
				if g := m.gate(n, &m.Rig.Kinds[of]); least[c].Volts == 0 || g.AtInput() < least[c].AtInput() {
					least[c] = g
				}
			}
		}
	}
	for _, c := range order {
		m.findGate(c, unit.First(names[c], 8), least[c])
	}
}

// gate is what a net brings to the gates of a kind of voice.
func (m *Map) gate(n *Net, kind *profiles.Kind) circuit.Gate {
	return circuit.Gate{Volts: m.Rig.Interfaces[n.Interface].Gate.Volts, Load: n.Load, Threshold: kind.GateThreshold}
}

// gateFaults lists what is wrong with a gate of a net for a kind of voice.
func (m *Map) gateFaults(n *Net, kind *profiles.Kind) (codes []Code) {
	f := &m.Rig.Interfaces[n.Interface]
	g := m.gate(n, kind)
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
func (m *Map) findGate(c gateCase, names string, g circuit.Gate) {
	f, kind := &m.Rig.Interfaces[c.interfaceAt], &m.Rig.Kinds[c.of]
	where := "interfaces." + f.Name + ".gate"
	_, threshold := m.Rig.Given("voices." + kind.Name + ".gate_threshold")
	switch c.code {
	case GatePolarity:
		text, hint := "%s gives S-trig, a short to ground; %s needs volts", "put a converter from S-trig to volts between, or set the interface to volts"
		if kind.GateInput == profiles.STrig {
			text, hint = "%s gives volts; %s needs S-trig, a short to ground", "put an open-collector converter between: volts on such an input may harm it"
		}
		m.find(c.code, where, fmt.Sprintf(text, f.Name, names), hint)
	case GateTooLow, GateMargin:
		at := float64(g.AtInput())
		found := m.find(c.code, where, fmt.Sprintf("%s V reach %s; the threshold is %s V, with 20 %% to spare %s V",
			unit.Fixed(at, 2), names, unit.Fixed(g.Threshold, 2), unit.Fixed(g.Wanted(), 2)), "raise the gate, feed fewer inputs from the jack, or go through: buffered")
		found.Value, found.Unit, found.Assumed = &at, "V", !threshold
	case TriggerTooShort:
		ms := float64(f.Trigger) / 1e6
		found := m.find(c.code, "interfaces."+f.Name+".trigger", fmt.Sprintf("%s gives triggers of %.3g ms, too short to hold a note on %s", f.Name, ms, names),
			"set the interface to gates that last as long as the note")
		found.Value, found.Unit = &ms, "ms"
	}
}
