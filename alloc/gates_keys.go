package alloc

import "choirloft/midi"

func (g *gates) noteOn(c *channel, s *midi.Step) {
	k := s.Key & 127
	c.raw[k]++
	taken := false
	for n := range c.ears {
		r := &c.ears[n]
		if r.takes(k, uint8(s.Value)) && (!r.zoned || g.hearsNow(c, r)) {
			g.start(c, r, s)
			taken = true
		}
	}
	if !taken {
		g.unmapped++
	}
}

func (g *gates) start(c *channel, r *ear, on *midi.Step) {
	ident := &r.idents[on.Key&127]
	ident.down++
	if r.mono != nil {
		g.press(c, r, ident, on)
		return
	}
	i := g.fill(c, r, ident, on)
	if r.stacks {
		if ident.held == none {
			ident.held = g.newList()
		}
		g.ofKey.push(ident.held, i)
		g.raise(i)
		return
	}
	old := ident.now
	ident.now = i
	if old == none {
		g.raise(i)
		return
	}
	g.replace(i, old, false)
}

// raise opens the gate of a note.
func (g *gates) raise(i int32) {
	g.sink.open(i)
	g.pulse(i)
}

// pulse begins the pulse of a gate that has just gone high.
func (g *gates) pulse(i int32) {
	s := &g.slots[i]
	if p := g.parts[s.part].Pulse; p > 0 {
		s.falls = *g.clock + p
		g.closings.push(closing{due: s.falls, id: s.id, slot: i})
	}
}

// fill makes the slot of a new note.
func (g *gates) fill(c *channel, r *ear, ident *identity, on *midi.Step) int32 {
	k := on.Key & 127
	i := g.newSlot()
	s := &g.slots[i]
	s.id, s.voice, s.ident, s.mono, s.channel, s.start = g.next, none, ident, r.mono, c, *g.clock
	s.part, s.sounding, s.key, s.velocity = r.part, int16(k)+r.transpose, k, uint8(on.Value&127)
	s.zero, s.down, s.carried, s.foreign, s.pressed, s.keeper = on.Zero, true, 0, false, false, nobody
	g.next++
	s.since = g.next
	return i
}

// replace lets note i follow note old, latch and all if the key is the same.
func (g *gates) replace(i, old int32, legato bool) {
	s, o := &g.slots[i], &g.slots[old]
	if s.ident == o.ident && (latches(o) || o.keeper == sostenuto) {
		s.carried = s.channel.presses
	}
	g.unlink(old)
	g.sink.follow(i, old, legato)
	if !legato {
		g.pulse(i)
	} else if falls := o.falls; g.parts[s.part].Pulse > 0 {
		s.falls = falls
		g.closings.push(closing{due: falls, id: s.id, slot: i})
	}
	g.free(old)
}

func (g *gates) noteOff(c *channel, k midi.Key) {
	k &= 127
	if c.raw[k] == 0 {
		g.orphan(c, k)
		return
	}
	c.raw[k]--
	for n := range c.ears {
		r := &c.ears[n]
		ident := &r.idents[k]
		if ident.down == 0 {
			continue
		}
		ident.down--
		if r.mono != nil {
			g.letGo(r, ident)
		} else {
			g.matchOff(g.parts[r.part].SameKey, ident)
		}
	}
}

// matchOff lets one off act on the notes of its identity.
func (g *gates) matchOff(rule SameKey, ident *identity) {
	switch rule {
	case RetriggerCounted:
		if ident.down == 0 {
			g.keyGoesUp(ident.now)
		}
	case RetriggerFirstOff:
		g.firstOff(ident)
	case StackFIFO:
		g.keyGoesUp(g.ofKey.first(ident.held))
	case StackLIFO:
		g.keyGoesUp(g.ofKey.last(ident.held))
	}
}

// firstOff ends the note by whatever off comes first. A note that another's
// off has sent to a pedal is swallowed when the pedal lets go before its own
// off has come.
func (g *gates) firstOff(ident *identity) {
	if ident.now == none {
		return
	}
	g.slots[ident.now].outlive(ident)
	g.keyGoesUp(ident.now)
}

// outlive notes whether presses of a key are left that the note should sound
// for when it ends by the off that has just come.
func (s *slot) outlive(ident *identity) {
	if s.down || ident.down == 0 {
		s.foreign = ident.down > 0
	}
}

func (g *gates) orphan(c *channel, k midi.Key) {
	g.orphans++
	for n := range c.ears {
		if r := &c.ears[n]; r.keys.Contains(k) && (!r.zoned || g.hearsNow(c, r)) {
			g.partOrphans[r.part]++
		}
	}
}
