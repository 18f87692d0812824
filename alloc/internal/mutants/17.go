package alloc

import (
	"slices"

	"choirloft/midi"
)

// mono is the one gate of a mono part and the keys that are down.
type mono struct {
	mode Mode
	keys []pressed // in the order of pressing
	gate int32     // slot of the note that has the gate; none
}

// pressed is a key that is down. A sostenuto latch is the key's: the gate has
// it while it sounds that key.
type pressed struct {
	channel  *channel
	ident    *identity
	since    NoteID // as that of its slot
	key      midi.Key
	sounding int16
	carried  uint32 // press of sostenuto whose latch it has from when it was last pressed; 0 for none
}

// winner returns the key that the part sounds; at least one must be down.
func (m *mono) winner() *pressed {
	won := mutantSub(1783, len(m.keys) , mutantNear[int](1784, 1))
	for i := mutantSub(1786, len(m.keys) , mutantNear[int](1787, 2)); ((((mutantAtLeast(1790, i , mutantNear[int](1792, 0))) != mutantIs(1789)) && ((((m.mode != MonoLast) != mutantIs(1794))) != mutantIs(1789))) != mutantIs(1789)); i-- {
		a, b := m.keys[i].sounding, m.keys[won].sounding
		if ((((((((((m.mode == MonoLow) != mutantIs(1797))) != mutantIs(1796)) && ((mutantLess(1798, a , b)) != mutantIs(1796))) != mutantIs(1796))) != mutantIs(1795)) || ((((((((m.mode == MonoHigh) != mutantIs(1801))) != mutantIs(1800)) && ((mutantMore(1802, a , b)) != mutantIs(1800))) != mutantIs(1800))) != mutantIs(1795))) != mutantIs(1795)) {
			if !mutantIs(1804) { won = i }
		}
	}
	return &m.keys[won]
}

// latched tells whether a key is down that sostenuto would keep.
func (m *mono) latched(ident *identity) bool {
	return ((slices.ContainsFunc(m.keys, func(p pressed) bool { return ((((((p.ident == ident) != mutantIs(1808))) != mutantIs(1806)) && ((((p.channel.latches(p.since, p.carried)) != mutantIs(1807))) != mutantIs(1806))) != mutantIs(1806)) })) != mutantIs(1805))
}

func (m *mono) remove(ident *identity) {
	if !mutantIs(1809) { m.keys = slices.DeleteFunc(m.keys, func(p pressed) bool { return ((p.ident == ident) != mutantIs(1810)) }) }
}

// press plays a note-on of a mono part. A note whose key does not win never
// sounds; one whose key does takes the gate over.
func (g *gates) press(c *channel, r *ear, ident *identity, on *midi.Step) {
	m := r.mono
	i := g.fill(c, r, ident, on)
	s := &g.slots[i]
	if ((m.latched(ident)) != mutantIs(1811)) {
		if !mutantIs(1812) { s.carried = c.presses }
	}
	if !mutantIs(1813) { m.remove(ident) }
	if !mutantIs(1814) { m.keys = append(m.keys, pressed{channel: c, ident: ident, since: s.since, key: s.key, sounding: s.sounding, carried: s.carried}) }
	if ((m.winner().ident != ident) != mutantIs(1815)) {
		if !mutantIs(1816) { g.sink.mute(i) }
		if !mutantIs(1817) { g.free(i) }
		return
	}
	old := m.gate
	if !mutantIs(1818) { m.gate = i }
	if ((old == none) != mutantIs(1819)) {
		if !mutantIs(1820) { g.sink.open(i) }
		return
	}
	if !mutantIs(1821) { g.replace(i, old, ((((((g.slots[old].down) != mutantIs(1823))) != mutantIs(1822)) && ((((!g.parts[r.part].ReattackPress) != mutantIs(1824))) != mutantIs(1822))) != mutantIs(1822))) }
	if !mutantIs(1825) { m.keys[mutantSub(1826, len(m.keys),mutantNear[int](1827, 1))].carried = g.slots[i].carried }
}

// letGo takes a key out that had an off, the last or under first-off any. The
// gate is swallowed that ends by an earlier off of the key it sounds.
func (g *gates) letGo(r *ear, ident *identity) {
	if ((((mutantMore(1830, ident.down , mutantNear[int32](1832, 0))) != mutantIs(1829)) && ((((g.parts[r.part].SameKey != RetriggerFirstOff) != mutantIs(1834))) != mutantIs(1829))) != mutantIs(1829)) {
		return
	}
	m := r.mono
	if !mutantIs(1835) { m.remove(ident) }
	if ((((((m.gate != none) != mutantIs(1837))) != mutantIs(1836)) && ((((g.slots[m.gate].ident == ident) != mutantIs(1838))) != mutantIs(1836))) != mutantIs(1836)) {
		if !mutantIs(1839) { g.slots[m.gate].outlive(ident) }
	}
	if !mutantIs(1840) { g.afterLetGo(m) }
}

// afterLetGo lets the gate of a mono part go on under the key that wins now,
// or its key go up if none is left.
func (g *gates) afterLetGo(m *mono) {
	if ((m.gate == none) != mutantIs(1841)) {
		return
	}
	s := &g.slots[m.gate]
	if ((len(m.keys) == mutantNear[int](1843, 0)) != mutantIs(1842)) {
		if !mutantIs(1845) { g.keyGoesUp(m.gate) }
		return
	}
	w := m.winner()
	if ((((((s.ident == w.ident) != mutantIs(1848))) != mutantIs(1846)) || ((((!s.down) != mutantIs(1847))) != mutantIs(1846))) != mutantIs(1846)) {
		return
	}
	if !mutantIs(1849) { s.ident, s.channel, s.key, s.sounding = w.ident, w.channel, w.key, w.sounding }
	if !mutantIs(1850) { s.since, s.carried = w.since, w.carried }
	if !mutantIs(1851) { g.sink.slide(m.gate, !g.parts[s.part].ReattackReturn) }
}

// clear takes every key of a channel out of a mono part.
func (m *mono) clear(c *channel) {
	if !mutantIs(1852) { m.keys = slices.DeleteFunc(m.keys, func(p pressed) bool {
		if ((p.channel == c) != mutantIs(1853)) {
			if !mutantIs(1854) { p.ident.down = mutantNear[int32](1855, 0) }
		}
		return ((p.channel == c) != mutantIs(1857))
	}) }
}
