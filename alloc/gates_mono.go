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
	won := len(m.keys) - 1
	for i := len(m.keys) - 2; i >= 0 && m.mode != MonoLast; i-- {
		a, b := m.keys[i].sounding, m.keys[won].sounding
		if m.mode == MonoLow && a < b || m.mode == MonoHigh && a > b {
			won = i
		}
	}
	return &m.keys[won]
}

// latched tells whether a key is down that sostenuto would keep.
func (m *mono) latched(ident *identity) bool {
	return slices.ContainsFunc(m.keys, func(p pressed) bool { return p.ident == ident && p.channel.latches(p.since, p.carried) })
}

func (m *mono) remove(ident *identity) {
	m.keys = slices.DeleteFunc(m.keys, func(p pressed) bool { return p.ident == ident })
}

// press plays a note-on of a mono part. A note whose key does not win never
// sounds; one whose key does takes the gate over.
func (g *gates) press(c *channel, r *ear, ident *identity, on *midi.Step) {
	m := r.mono
	i := g.fill(c, r, ident, on)
	s := &g.slots[i]
	if m.latched(ident) {
		s.carried = c.presses
	}
	m.remove(ident)
	m.keys = append(m.keys, pressed{channel: c, ident: ident, since: s.since, key: s.key, sounding: s.sounding, carried: s.carried})
	if m.winner().ident != ident {
		g.sink.mute(i)
		g.free(i)
		return
	}
	old := m.gate
	m.gate = i
	if old == none {
		g.raise(i)
		return
	}
	g.replace(i, old, g.slots[old].down && !g.parts[r.part].ReattackPress)
	m.keys[len(m.keys)-1].carried = g.slots[i].carried
}

// letGo takes a key out that had an off, the last or under first-off any. The
// gate is swallowed that ends by an earlier off of the key it sounds.
func (g *gates) letGo(r *ear, ident *identity) {
	if ident.down > 0 && g.parts[r.part].SameKey != RetriggerFirstOff {
		return
	}
	m := r.mono
	m.remove(ident)
	if m.gate != none && g.slots[m.gate].ident == ident {
		g.slots[m.gate].outlive(ident)
	}
	g.afterLetGo(m)
}

// afterLetGo lets the gate of a mono part go on under the key that wins now,
// or its key go up if none is left.
func (g *gates) afterLetGo(m *mono) {
	if m.gate == none {
		return
	}
	s := &g.slots[m.gate]
	if len(m.keys) == 0 {
		g.keyGoesUp(m.gate)
		return
	}
	w := m.winner()
	if s.ident == w.ident || !s.down {
		return
	}
	s.ident, s.channel, s.key, s.sounding = w.ident, w.channel, w.key, w.sounding
	s.since, s.carried = w.since, w.carried
	legato := !g.parts[s.part].ReattackReturn
	g.sink.slide(m.gate, legato)
	if !legato {
		g.pulse(m.gate)
	}
}

// clear takes every key of a channel out of a mono part.
func (m *mono) clear(c *channel) {
	m.keys = slices.DeleteFunc(m.keys, func(p pressed) bool {
		if p.channel == c {
			p.ident.down = 0
		}
		return p.channel == c
	})
}
