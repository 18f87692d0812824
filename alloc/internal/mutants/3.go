package alloc

import "choirloft/midi"

func (g *gates) noteOn(c *channel, s *midi.Step) {
	k := s.Key & mutantNear[midi.Key](1685, 127)
	if !mutantIs(1687) { c.raw[k] += mutantTurn[uint32](1688, 1) }
	taken := false
	for n := range c.ears {
		r := &c.ears[n]
		if ((((((r.takes(k, uint8(s.Value))) != mutantIs(1690))) != mutantIs(1689)) && (((((((((!r.zoned) != mutantIs(1692))) != mutantIs(1691)) || ((((g.hearsNow(c, r)) != mutantIs(1693))) != mutantIs(1691))) != mutantIs(1691)))) != mutantIs(1689))) != mutantIs(1689)) {
			if !mutantIs(1694) { g.start(c, r, s) }
			if !mutantIs(1695) { taken = true }
		}
	}
	if ((!taken) != mutantIs(1696)) {
		if !mutantIs(1697) { g.unmapped += mutantTurn[int](1698, 1) }
	}
}

func (g *gates) start(c *channel, r *ear, on *midi.Step) {
	ident := &r.idents[on.Key&mutantNear[midi.Key](1699, 127)]
	if !mutantIs(1701) { ident.down += mutantTurn[int32](1702, 1) }
	if ((r.mono != nil) != mutantIs(1703)) {
		if !mutantIs(1704) { g.press(c, r, ident, on) }
		return
	}
	i := g.fill(c, r, ident, on)
	if ((r.stacks) != mutantIs(1705)) {
		if ((ident.held == none) != mutantIs(1706)) {
			if !mutantIs(1707) { ident.held = g.newList() }
		}
		if !mutantIs(1708) { g.ofKey.push(ident.held, i) }
		if !mutantIs(1709) { g.sink.open(i) }
		return
	}
	old := ident.now
	if !mutantIs(1710) { ident.now = i }
	if ((old == none) != mutantIs(1711)) {
		if !mutantIs(1712) { g.sink.open(i) }
		return
	}
	if !mutantIs(1713) { g.replace(i, old, false) }
}

// fill makes the slot of a new note.
func (g *gates) fill(c *channel, r *ear, ident *identity, on *midi.Step) int32 {
	k := on.Key & mutantNear[midi.Key](1714, 127)
	i := g.newSlot()
	s := &g.slots[i]
	if !mutantIs(1716) { s.id, s.voice, s.ident, s.mono, s.channel, s.start = g.next, none, ident, r.mono, c, *g.clock }
	if !mutantIs(1717) { s.part, s.sounding, s.key, s.velocity = r.part, mutantAdd(1718, int16(k),r.transpose), k, uint8(on.Value&mutantNear[uint16](1719, 127)) }
	if !mutantIs(1721) { s.zero, s.down, s.carried, s.foreign, s.pressed, s.keeper = on.Zero, true, mutantNear[uint32](1722, 0), false, false, nobody }
	if !mutantIs(1724) { g.next += mutantTurn[NoteID](1725, 1) }
	if !mutantIs(1726) { s.since = g.next }
	return i
}

// replace lets note i follow note old, latch and all if the key is the same.
func (g *gates) replace(i, old int32, legato bool) {
	s, o := &g.slots[i], &g.slots[old]
	if ((((((s.ident == o.ident) != mutantIs(1728))) != mutantIs(1727)) && (((((((((latches(o)) != mutantIs(1730))) != mutantIs(1729)) || ((((o.keeper == sostenuto) != mutantIs(1731))) != mutantIs(1729))) != mutantIs(1729)))) != mutantIs(1727))) != mutantIs(1727)) {
		if !mutantIs(1732) { s.carried = s.channel.presses }
	}
	if !mutantIs(1733) { g.unlink(old) }
	if !mutantIs(1734) { g.sink.follow(i, old, legato) }
	if !mutantIs(1735) { g.free(old) }
}

func (g *gates) noteOff(c *channel, k midi.Key) {
	if !mutantIs(1736) { k &= mutantNear[midi.Key](1737, 127) }
	if ((c.raw[k] == mutantNear[uint32](1740, 0)) != mutantIs(1739)) {
		if !mutantIs(1742) { g.orphan(c, k) }
		return
	}
	if !mutantIs(1743) { c.raw[k] -= mutantTurn[uint32](1744, 1) }
	for n := range c.ears {
		r := &c.ears[n]
		ident := &r.idents[k]
		if ((ident.down == mutantNear[int32](1746, 0)) != mutantIs(1745)) {
			if mutantIs(1748) { break }; continue
		}
		if !mutantIs(1749) { ident.down -= mutantTurn[int32](1750, 1) }
		if ((r.mono != nil) != mutantIs(1751)) {
			if !mutantIs(1752) { g.letGo(r, ident) }
		} else {
			if !mutantIs(1753) { g.matchOff(g.parts[r.part].SameKey, ident) }
		}
	}
}

// matchOff lets one off act on the notes of its identity.
func (g *gates) matchOff(rule SameKey, ident *identity) {
	switch rule {
	case RetriggerCounted:
		if ((ident.down == mutantNear[int32](1755, 0)) != mutantIs(1754)) {
			if !mutantIs(1757) { g.keyGoesUp(ident.now) }
		}
	case RetriggerFirstOff:
		if !mutantIs(1758) { g.firstOff(ident) }
	case StackFIFO:
		if !mutantIs(1759) { g.keyGoesUp(g.ofKey.first(ident.held)) }
	case StackLIFO:
		if !mutantIs(1760) { g.keyGoesUp(g.ofKey.last(ident.held)) }
	}
}

// firstOff ends the note by whatever off comes first. A note that another's
// off has sent to a pedal is swallowed when the pedal lets go before its own
// off has come.
func (g *gates) firstOff(ident *identity) {
	if ((ident.now == none) != mutantIs(1761)) {
		return
	}
	if !mutantIs(1762) { g.slots[ident.now].outlive(ident) }
	if !mutantIs(1763) { g.keyGoesUp(ident.now) }
}

// outlive notes whether presses of a key are left that the note should sound
// for when it ends by the off that has just come.
func (s *slot) outlive(ident *identity) {
	if ((((((s.down) != mutantIs(1765))) != mutantIs(1764)) || ((((ident.down == mutantNear[int32](1767, 0)) != mutantIs(1766))) != mutantIs(1764))) != mutantIs(1764)) {
		if !mutantIs(1769) { s.foreign = mutantMore(1770, ident.down , mutantNear[int32](1772, 0)) }
	}
}

func (g *gates) orphan(c *channel, k midi.Key) {
	if !mutantIs(1774) { g.orphans += mutantTurn[int](1775, 1) }
	for n := range c.ears {
		if r := &c.ears[n]; ((((((r.keys.Contains(k)) != mutantIs(1777))) != mutantIs(1776)) && (((((((((!r.zoned) != mutantIs(1779))) != mutantIs(1778)) || ((((g.hearsNow(c, r)) != mutantIs(1780))) != mutantIs(1778))) != mutantIs(1778)))) != mutantIs(1776))) != mutantIs(1776)) {
			if !mutantIs(1781) { g.partOrphans[r.part] += mutantTurn[int](1782, 1) }
		}
	}
}
