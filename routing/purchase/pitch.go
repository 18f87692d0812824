package purchase

import (
	"slices"

	"choirloft/profiles"
	"choirloft/routing"
)

// pitched returns the rig with pins that hold the pitches of the new voices on interfaces
// that give the same volts for a key as that of the bank that they are like: beside others
// its parts would play some keys at wrong pitches, or none of them. It is false where too
// few of their jacks are free. Where none lies beside others nothing is pinned.
func (p *Purchase) pitched(rig *profiles.Rig) (*profiles.Rig, bool) {
	if !slices.ContainsFunc(rig.Interfaces, func(f profiles.Interface) bool { return !p.alike(&f) }) {
		return rig, true
	}
	m := routing.NewMap(rig)
	fresh := m.Voices[len(p.before.Rig.Voices):]
	beside := func(v routing.Voice) bool { return v.Interface >= 0 && !p.alike(&rig.Interfaces[v.Interface]) }
	if !slices.ContainsFunc(fresh, beside) {
		return rig, true
	}
	return p.pinned(rig, m, fresh, p.free(m), beside)
}

// aside returns the rig with pins that hold the pitches of new voices that no message reaches on
// the interfaces that are bought: the map fills the jacks of the others first, whatever their
// channels. It is false where none is to be held, or too few of these jacks give the volts.
func (p *Purchase) aside(rig *profiles.Rig) (*profiles.Rig, bool) {
	m := routing.NewMap(rig)
	free := slices.DeleteFunc(p.free(m), func(j profiles.Jack) bool { return j.Interface < len(p.before.Rig.Interfaces) })
	silent := func(v routing.Voice) bool {
		return slices.ContainsFunc(v.Lanes, func(l routing.Lane) bool { return l.Fits() && l.Message == "" })
	}
	fresh := m.Voices[len(p.before.Rig.Voices):]
	if !slices.ContainsFunc(fresh, silent) {
		return rig, false
	}
	moved := slices.DeleteFunc(slices.Clone(fresh), func(v routing.Voice) bool { return !silent(v) })
	return p.pinned(rig, m, moved, free, silent)
}

// pinned is the rig with pins for the pitches of voices: those to move on free jacks, in order,
// the others where they are. It is false where the jacks do not suffice.
func (p *Purchase) pinned(rig *profiles.Rig, m *routing.Map, voices []routing.Voice, free []profiles.Jack, move func(routing.Voice) bool) (*profiles.Rig, bool) {
	held := *rig
	held.Pins = slices.Clone(rig.Pins)
	for i := range voices {
		v := &voices[i]
		l := v.Lane("pitch")
		if l == nil || !l.Fits() || l.Pinned {
			continue
		}
		jack := profiles.Jack{Interface: l.Interface, Gate: l.GateJack, Number: l.Jack}
		if move(*v) {
			if len(free) == 0 {
				return rig, false
			}
			jack, free = free[0], free[1:]
		}
		to := profiles.Target{Bank: rig.Voices[v.Voice].Bank, Voice: v.Voice, Input: l.Input}
		held.Pins = append(held.Pins, profiles.Pin{To: to, Macro: -1, Jack: jack})
	}
	return &held, true
}

// alike tells whether an interface gives the volts for a key that the one gives which drives
// the bank that the new ones are like.
func (p *Purchase) alike(f *profiles.Interface) bool {
	g := &p.before.Rig.Interfaces[p.driver]
	return f.Window == g.Window && f.ZeroKey == g.ZeroKey && f.Scale == g.Scale
}

// free are the CV jacks of such interfaces that nothing comes out of.
func (p *Purchase) free(m *routing.Map) (jacks []profiles.Jack) {
	taken := map[[2]int]bool{}
	for _, l := range m.Lanes() {
		if l.Fits() && !l.GateJack {
			taken[[2]int{l.Interface, l.Jack}] = true
		}
	}
	for i := range m.Rig.Interfaces {
		f := &m.Rig.Interfaces[i]
		if !p.alike(f) {
			continue
		}
		for n := 1; n <= f.CV; n++ {
			if !taken[[2]int{i, n}] {
				jacks = append(jacks, profiles.Jack{Interface: i, Number: n})
			}
		}
	}
	return jacks
}
