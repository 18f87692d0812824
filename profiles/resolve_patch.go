package profiles

import (
	"math/bits"

	"choirloft/midi"
)

func (x *resolver) resolveMacros() {
	for _, e := range x.draft.macros {
		s := e.value.from.source
		x.rig.Macros = append(x.rig.Macros, Macro{
			Name: e.key, Pos: e.pos,
			Controller: e.value.from.controller, AnyPort: s.AnyPort, Port: s.Port, Channel: onlyChannel(s.Channels),
			To: x.targets(e.value.to),
		})
	}
}

// onlyChannel returns the channel of a set of one.
func onlyChannel(set uint16) midi.Channel { return midi.Channel(bits.TrailingZeros16(set) & 0x0F) }

func (x *resolver) targets(names []spot[targetName]) []Target {
	var all []Target
	for _, name := range names {
		if t, ok := x.target(name); ok {
			all = append(all, t)
		}
	}
	return all
}

// target finds an input of a bank or a voice.
func (x *resolver) target(name spot[targetName]) (Target, bool) {
	t := Target{Voice: -1, Input: name.value.input, Pos: name.pos}
	of := spot[string]{name.value.of, name.pos, name.at}
	if endsInDigit(of.value) {
		voice, ok := x.voice(of)
		if !ok {
			return t, false
		}
		t.Voice, t.Bank = voice, x.rig.Voices[voice].Bank
	} else {
		bank, ok := x.bank(of)
		if !ok {
			return t, false
		}
		t.Bank = bank
	}
	x.checkInput(x.rig.Banks[t.Bank], spot[string]{t.Input, name.pos, name.at})
	return t, true
}

// jack finds an output of an interface.
func (x *resolver) jack(name spot[jackName]) (Jack, bool) {
	t, ok := x.find(spot[string]{name.value.box, name.pos, name.at}, inInterfaces)
	if !ok {
		return Jack{}, false
	}
	j := Jack{Interface: t.at, Gate: name.value.gate, Number: name.value.number, Pos: name.pos}
	if count := x.rig.Interfaces[t.at].Jacks(j.Gate); !t.broken && j.Number > count {
		kind := jackKind(j.Gate)
		c := complain("no %s %d, interface %s has %s 1 to %d", kind, j.Number, name.value.box, kind, count)
		if count == 0 {
			c = complain("no %s %d, interface %s has none", kind, j.Number, name.value.box)
		}
		x.faultAt(name.pos, name.at, c)
		return j, false
	}
	return j, true
}

func jackKind(gate bool) string {
	if gate {
		return "gate"
	}
	return "cv"
}

// Jacks returns how many jacks give a gate, or else a CV.
func (i Interface) Jacks(gate bool) int {
	switch {
	case i.Outputs > 0:
		return i.Outputs
	case gate:
		return i.Gates
	}
	return i.CV
}

func (x *resolver) resolvePins() {
	held := map[Jack]string{}
	for _, e := range x.draft.pins {
		p := Pin{Pos: e.pos, Macro: -1}
		if e.key.input == "" {
			p.Macro = x.macro(spot[string]{e.key.of, e.pos, e.at})
		} else {
			p.To, _ = x.target(spot[targetName]{e.key, e.pos, e.at})
		}
		jack, ok := x.jack(e.value)
		if !ok {
			continue
		}
		p.Jack = jack
		x.rig.Pins = append(x.rig.Pins, p)
		x.holdOnce(held, p, e)
	}
}

// holdOnce complains of a jack that two pins hold.
func (x *resolver) holdOnce(held map[Jack]string, p Pin, e entry[targetName, spot[jackName]]) {
	jack := p.Jack
	jack.Pos = Pos{}
	if x.rig.Interfaces[jack.Interface].Outputs > 0 {
		jack.Gate = false // one and the same jack
	}
	if other, ok := held[jack]; ok {
		x.faultAt(e.value.pos, e.at, complain("%s %s %d is held by %s already", e.value.value.box,
			jackKind(p.Jack.Gate), jack.Number, other).advise("one output to several inputs stands under wiring"))
		return
	}
	held[jack] = e.key.String()
}

// String returns a target as it is written.
func (t targetName) String() string {
	if t.input == "" {
		return t.of
	}
	return t.of + "." + t.input
}

// macro returns the index of a macro, or −1 after having complained.
func (x *resolver) macro(name spot[string]) int {
	names := keysOf(x.draft.macros)
	for i, n := range names {
		if n == name.value {
			return i
		}
	}
	c := complain("no macro %s, and an input is written with its bank or voice, such as K1.pitch", name.value)
	x.faultAt(name.pos, name.at, c.didYouMean(name.value, names))
	return -1
}

func (x *resolver) resolveCorrections() {
	for _, e := range x.draft.corrections {
		c := e.value
		c.Pos = e.pos
		c.Voice, _ = x.voice(spot[string]{e.key, e.pos, e.at})
		x.rig.Corrections = append(x.rig.Corrections, c)
	}
}

func (x *resolver) resolveSupplies() {
	fed := map[string]string{}
	for _, e := range x.draft.supplies {
		s := Supply{Name: e.key, Pos: e.pos, Rating: e.value.rating}
		for _, name := range e.value.feeds {
			t, ok := x.find(name, inBanks, inInterfaces, inGear)
			if !ok {
				continue
			}
			if other, ok := fed[name.value]; ok {
				x.faultAt(name.pos, name.at, complain("%s is fed by supply %s already", name.value, other))
			}
			fed[name.value] = e.key
			what := map[string]FedKind{inBanks: FedBank, inInterfaces: FedInterface, inGear: FedGear}[t.what]
			s.Feeds = append(s.Feeds, Fed{Name: name.value, Pos: name.pos, What: what, At: t.at})
		}
		x.rig.Supplies = append(x.rig.Supplies, s)
	}
}
