package routing

import (
	"fmt"
	"slices"

	"choirloft/profiles"
)

// findNextMacro says beforehand if another macro would move what has a jack,
// and where to pin it so that nothing moves.
func (m *Map) findNextMacro() {
	if len(m.Missing) > 0 {
		return
	}
	then := *m.Rig
	then.Macros = append(slices.Clone(m.Rig.Macros), profiles.Macro{})
	moved, fits := m.moved(&then)
	if !fits || len(moved) == 0 {
		return
	}
	facts := []Fact{Named("lanes", laneNames(moved)...).Main()}
	if jack, ok := m.quietJack(then); ok {
		facts = append(facts, Named("jack", jack))
	}
	m.find(MacroWouldMove, "macros", facts...)
}

// moved lists the lanes that have another jack in another rig; fits is false if
// something has none there.
func (m *Map) moved(then *profiles.Rig) (lanes []*Lane, fits bool) {
	p := pack(then, nil)
	if len(p.lanes.missing()) > 0 {
		return nil, false
	}
	return m.elsewhere(p), true
}

// elsewhere are the lanes of the map that come out of another jack, or of none, once packed
// so, or had none.
func (m *Map) elsewhere(p *packer) (lanes []*Lane) {
	old := map[string]*Lane{}
	for _, l := range m.Lanes() {
		old[l.Name] = l
	}
	p.lanes.each(func(l *Lane) {
		if was := old[l.Name]; was != nil && !was.sameJack(&l.Outlet, m.Rig) {
			lanes = append(lanes, was)
		}
	})
	return lanes
}

// Holding returns a rig that the rig of the map has grown into, with pins that hold every
// line on the jack that it has: a further interface alone would move some.
func (m *Map) Holding(grown *profiles.Rig) *profiles.Rig {
	for {
		held := *grown
		held.Pins = slices.Clone(grown.Pins)
		for _, l := range m.elsewhere(pack(grown, nil)) {
			if !l.Fits() || l.Pinned {
				continue
			}
			pin := profiles.Pin{Macro: l.Macro, Jack: profiles.Jack{Interface: l.Interface, Gate: l.GateJack, Number: l.Jack}}
			if l.Macro < 0 {
				pin.To = profiles.Target{Bank: l.Bank, Voice: l.Voice, Input: l.Input}
			}
			if !slices.ContainsFunc(held.Pins, func(p profiles.Pin) bool { return p.To == pin.To && p.Macro == pin.Macro }) {
				held.Pins = append(held.Pins, pin)
			}
		}
		if len(held.Pins) == len(grown.Pins) {
			return grown
		}
		grown = &held
	}
}

// PinText is what a pin holds, and where, as a rig file has it.
func PinText(rig *profiles.Rig, p *profiles.Pin) (what, jack string) {
	if p.Macro >= 0 {
		what = rig.Macros[p.Macro].Name
	} else {
		what = targetName(rig, p.To)
	}
	kind := "cv"
	if p.Jack.Gate {
		kind = "gate"
	}
	return what, fmt.Sprintf("%s.%s %d", rig.Interfaces[p.Jack.Interface].Name, kind, p.Jack.Number)
}

// quietJack is a free CV to which the last macro of a rig can be pinned so that
// nothing moves, as a rig writes it: the last one there is.
func (m *Map) quietJack(then profiles.Rig) (name string, ok bool) {
	for _, s := range slices.Backward(m.Spare) {
		if s.Gates {
			continue
		}
		for _, jack := range slices.Backward(s.Jacks) {
			pin := profiles.Pin{Macro: len(then.Macros) - 1, Jack: profiles.Jack{Interface: s.Interface, Number: jack}}
			with := then
			with.Pins = append(slices.Clone(then.Pins), pin)
			if moved, fits := m.moved(&with); fits && len(moved) == 0 {
				return fmt.Sprintf("%s.cv %d", m.Rig.Interfaces[s.Interface].Name, jack), true
			}
		}
	}
	return "", false
}
