package routing

import (
	"slices"
	"strings"

	"choirloft/profiles"
)

// find adds a finding, whose place is looked up later, and returns it to be
// completed before the next one is added.
func (m *Map) find(code Code, where string, facts ...Fact) *Finding {
	m.Findings = append(m.Findings, New(code, where, facts...))
	return &m.Findings[len(m.Findings)-1]
}

// locate looks up where the rig says what findings are about: at their path or
// else at the nearest one above it.
func (m *Map) locate() {
	for i := range m.Findings {
		f := &m.Findings[i]
		for path := f.Where; f.Pos.IsZero() && path != ""; {
			f.Pos, _ = m.Rig.Given(path)
			path = path[:max(0, strings.LastIndexByte(path, '.'))]
		}
	}
}

// findJacks says what is doubtful about the lanes that have a jack.
func (m *Map) findJacks() {
	m.findSilent()
	m.findApart()
	m.findSameMessage()
	m.findAdders()
	m.findNextMacro()
}

// findSilent speaks of jacks that no message moves, by interface.
func (m *Map) findSilent() {
	for at := range m.Rig.Interfaces {
		var silent []*Lane
		for _, l := range m.Lanes() {
			if l.Interface == at && l.Message == "" {
				silent = append(silent, l)
			}
		}
		if len(silent) == 0 {
			continue
		}
		i := &m.Rig.Interfaces[at]
		facts := []Fact{Named("lanes", laneNames(silent)...).Main(), Named("interface", i.Name), Number("channels", i.Ports*channels, "")}
		m.find(NoChannel, "interfaces."+i.Name+".ports", append(facts, m.portsWanted(at)...)...)
	}
}

// portsWanted is how many ports the voices of an interface need, if it has
// fewer.
func (m *Map) portsWanted(at int) []Fact {
	voices := 0
	for i := range m.Voices {
		if m.Voices[i].Interface == at {
			voices++
		}
	}
	if voices <= m.Rig.Interfaces[at].Ports*channels {
		return nil
	}
	return []Fact{Number("voices", voices, ""), Number("ports", (voices+channels-1)/channels, "")}
}

// findApart speaks of voices whose pitch and gate are on different interfaces,
// where pins or wires put them.
func (m *Map) findApart() {
	for i := range m.Voices {
		pitch, gate := m.Voices[i].Lane(pitchInput), m.Voices[i].Lane(gateInput)
		if pitch == nil || gate == nil || !pitch.Fits() || !gate.Fits() || pitch.Interface == gate.Interface {
			continue
		}
		v := &m.Rig.Voices[i]
		m.find(PinnedApart, "banks."+m.Rig.Banks[v.Bank].Name, Named("voice", v.Name),
			Named("pitch_jack", m.jack(pitch)), Named("gate_jack", m.jack(gate)))
	}
}

func (m *Map) jack(l *Lane) string { return jackName(m.Rig, l.Interface, l.GateJack, l.Jack) }

// findSameMessage speaks of macros that share their controller with a lane on
// another jack. Two macros may share one.
func (m *Map) findSameMessage() {
	for i := range m.Macros {
		a := &m.Macros[i]
		for _, b := range m.Lanes() {
			same := a.Addressed && b.Addressed && a.Interface == b.Interface && a.Port == b.Port && a.Channel == b.Channel && a.Message == b.Message
			if same && b.Macro < 0 && !a.sameJack(&b.Outlet, m.Rig) {
				m.find(MessageTwice, "macros."+a.Name+".from", Named("message", a.Message), Number("port", int(a.Port)+1, ""),
					Number("channel", int(a.Channel)+1, ""), Named("macro", a.Name), Named("lane", b.Name))
			}
		}
	}
}

// socket is one input in the rack. A bank's group pitch jack has voice −1.
type socket struct {
	bank, voice int
	input       string
}

// sockets lists the inputs that a lane drives.
func (m *Map) sockets(l *Lane) (all []socket) {
	targets := []profiles.Target{{Bank: l.Bank, Voice: l.Voice, Input: l.Input}}
	switch {
	case l.Macro >= 0:
		targets = m.Rig.Macros[l.Macro].To
	case l.onlyWired():
		targets = m.wired(l)
	}
	for _, t := range targets {
		all = append(all, m.behind(t)...)
	}
	return all
}

// wired lists what the wires from the jack of a lane lead to.
func (m *Map) wired(l *Lane) (all []profiles.Target) {
	for i := range m.Rig.Wiring {
		w := &m.Rig.Wiring[i]
		from := Outlet{Interface: w.From.Interface, GateJack: w.From.Gate, Jack: w.From.Number}
		if from.sameJack(&l.Outlet, m.Rig) {
			all = append(all, w.To...)
		}
	}
	return all
}

// behind lists the inputs that a target stands for.
func (m *Map) behind(t profiles.Target) (all []socket) {
	if t.Voice >= 0 || isGroupJack(m.Rig, t) {
		return []socket{{t.Bank, t.Voice, t.Input}}
	}
	b := &m.Rig.Banks[t.Bank]
	for i := b.First; i < b.First+b.Size; i++ {
		all = append(all, socket{t.Bank, i, t.Input})
	}
	return all
}

// findAdders speaks of inputs that two lanes drive, once for each two lanes. Two
// plugs do not go into one jack, which is an error. Where one lane leads to a jack
// of the voice and the other to the common one of its bank, a module may well add
// them, so that this is a warning.
func (m *Map) findAdders() {
	driver := map[socket]*Lane{}
	said := map[[2]*Lane]bool{}
	for _, l := range m.Lanes() {
		for _, s := range m.sockets(l) {
			first := driver[s]
			if first == nil {
				driver[s] = l
				continue
			}
			if first == l || said[[2]*Lane{first, l}] || first.sameJack(&l.Outlet, m.Rig) {
				continue
			}
			a, b := m.plugOf(first, s), m.plugOf(l, s)
			if a.adder >= 0 && a.adder == b.adder {
				continue
			}
			said[[2]*Lane{first, l}] = true
			f := m.find(InputDrivenTwice, m.lanePath(l), Named("first", first.Name), Named("second", l.Name),
				Named("input", targetName(m.Rig, profiles.Target{Bank: s.bank, Voice: s.voice, Input: s.input})))
			if a.Input != b.Input {
				f.Severity = Warning
			}
		}
	}
}

// plug is the jack by which a lane reaches an input.
type plug struct {
	Input
	adder int // before it, or gate-OR: index into Rig.Gear, −1 where there is none
}

// plugOf is where the cable of a lane ends that reaches an input.
func (m *Map) plugOf(l *Lane, s socket) plug {
	if m.Nets == nil {
		m.connect()
	}
	if n := m.NetOf(l); n != nil {
		for _, b := range n.Branches {
			for _, i := range []Input{{s.bank, s.voice, s.input}, {s.bank, -1, s.input}} {
				if slices.Contains(b.Inputs, i) {
					from := profiles.Jack{Interface: n.Interface, Gate: n.GateJack, Number: n.Jack}
					return plug{i, joiner(m.Rig, from, b.Via)}
				}
			}
		}
	}
	return plug{Input{s.bank, s.voice, s.input}, -1}
}
