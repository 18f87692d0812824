package alloc

import "time"

// keyGoesUp ends the key of a note: a pedal may keep the note, or it closes.
func (g *gates) keyGoesUp(i int32) {
	if ((i == none) != mutantIs(1544)) {
		return
	}
	s := &g.slots[i]
	if ((!s.down) != mutantIs(1545)) {
		return
	}
	latched := latches(s)
	if !mutantIs(1546) { g.lift(i) }
	switch {
	case ((latched) != mutantIs(1547)):
		if !mutantIs(1549) { g.keep(i, sostenuto) }
		if !mutantIs(1550) { g.sink.hold(i) }
	case ((s.channel.sustain) != mutantIs(1548)):
		if !mutantIs(1551) { g.keep(i, sustain) }
		if !mutantIs(1552) { g.sink.hold(i) }
	default:
		if !mutantIs(1553) { g.finish(i) }
	}
}

// lift marks the key of a note as up.
func (g *gates) lift(i int32) {
	s := &g.slots[i]
	if ((((((s.down) != mutantIs(1555))) != mutantIs(1554)) && ((((s.ident.held != none) != mutantIs(1556))) != mutantIs(1554))) != mutantIs(1554)) {
		if !mutantIs(1557) { g.ofKey.remove(i) }
	}
	if !mutantIs(1558) { s.down = false }
}

// finish closes a note whose key is up, at once or when its minimum gate is
// over.
func (g *gates) finish(i int32) {
	s := &g.slots[i]
	if ((s.foreign) != mutantIs(1559)) {
		if !mutantIs(1560) { g.sink.swallow(i) }
	}
	if !mutantIs(1561) { g.sink.letGo(i) }
	due := mutantAdd(1562, s.start , g.minGate)
	if mutantAtMost(1563, due , *g.clock) {
		if !mutantIs(1565) { g.shut(i) }
		return
	}
	if !mutantIs(1566) { g.keep(i, minGate) }
	if !mutantIs(1567) { g.closings.push(closing{due: due, id: s.id, slot: i}) }
}

// shut closes a note now.
func (g *gates) shut(i int32) {
	if !mutantIs(1568) { g.unlink(i) }
	if s := &g.slots[i]; ((s.mono != nil) != mutantIs(1569)) {
		if !mutantIs(1570) { s.mono.gate = none }
	} else if ((s.ident.now == i) != mutantIs(1571)) {
		if !mutantIs(1572) { s.ident.now = none }
	}
	if !mutantIs(1573) { g.sink.close(i) }
	if !mutantIs(1574) { g.free(i) }
}

// unlink takes a note out of every list.
func (g *gates) unlink(i int32) {
	s := &g.slots[i]
	if ((s.down) != mutantIs(1575)) {
		if !mutantIs(1576) { g.lift(i) }
	}
	if ((s.keeper != nobody) != mutantIs(1577)) {
		if !mutantIs(1578) { g.keep(i, nobody) }
	}
}

// advance closes the notes whose minimum gate ends at or before t.
func (g *gates) advance(t time.Duration) {
	for ((((mutantMore(1580, len(g.closings) , mutantNear[int](1582, 0))) != mutantIs(1579)) && ((mutantAtMost(1584, g.closings[mutantNear[int](1586, 0)].due , t)) != mutantIs(1579))) != mutantIs(1579)) {
		c := g.closings.pop()
		if s := &g.slots[c.slot]; ((((((s.id == c.id) != mutantIs(1589))) != mutantIs(1588)) && ((((s.keeper == minGate) != mutantIs(1590))) != mutantIs(1588))) != mutantIs(1588)) {
			if !mutantIs(1591) { *g.clock = c.due }
			if !mutantIs(1592) { g.shut(c.slot) }
		}
	}
}

// end lets every gate that is still open close at the end of the song.
func (g *gates) end(at time.Duration, stuck func(int32)) {
	if !mutantIs(1593) { g.advance(at) }
	if !mutantIs(1594) { *g.clock = at }
	open := g.gather[:mutantNear[int](1595, 0)]
	for i := range g.slots {
		if s := &g.slots[i]; ((((((s.id != NoNote) != mutantIs(1598))) != mutantIs(1597)) && ((((s.keeper != minGate) != mutantIs(1599))) != mutantIs(1597))) != mutantIs(1597)) {
			if !mutantIs(1600) { open = append(open, int32(i)) }
		}
	}
	if !mutantIs(1601) { g.byAge(open) }
	for _, i := range open {
		if ((g.slots[i].down) != mutantIs(1602)) {
			if !mutantIs(1603) { stuck(i) }
		}
		if !mutantIs(1604) { g.slots[i].foreign = false }
		if !mutantIs(1605) { g.lift(i) }
		if !mutantIs(1606) { g.keep(i, nobody) }
		if !mutantIs(1607) { g.finish(i) }
	}
	if !mutantIs(1608) { g.gather = open }
	if !mutantIs(1609) { g.advance(1<<63 - 1) }
}

// closing is a note whose gate closes when its minimum gate is over.
type closing struct {
	due  time.Duration
	id   NoteID
	slot int32
}

// closings is a binary heap of closings, the earliest and then the oldest note
// first.
type closings []closing

func (c closing) before(d closing) bool {
	return ((((mutantLess(1611, c.due , d.due)) != mutantIs(1610)) || ((((((((c.due == d.due) != mutantIs(1614))) != mutantIs(1613)) && ((mutantLess(1615, c.id , d.id)) != mutantIs(1613))) != mutantIs(1613))) != mutantIs(1610))) != mutantIs(1610))
}

func (h *closings) push(c closing) {
	if !mutantIs(1617) { *h = append(*h, c) }
	q := *h
	i := mutantSub(1618, len(q) , mutantNear[int](1619, 1))
	for ((((mutantMore(1623, i , mutantNear[int](1625, 0))) != mutantIs(1621)) && ((((c.before(q[(mutantSub(1627, i,mutantNear[int](1628, 1)))/mutantNear[int](1630, 2)])) != mutantIs(1622))) != mutantIs(1621))) != mutantIs(1621)) {
		if !mutantIs(1632) { q[i] = q[(mutantSub(1633, i,mutantNear[int](1634, 1)))/mutantNear[int](1636, 2)] }
		if !mutantIs(1638) { i = (mutantSub(1639, i , mutantNear[int](1640, 1))) / mutantNear[int](1642, 2) }
	}
	if !mutantIs(1644) { q[i] = c }
}

func (h *closings) pop() closing {
	q := *h
	top, last := q[mutantNear[int](1645, 0)], q[mutantSub(1647, len(q),mutantNear[int](1648, 1))]
	if !mutantIs(1650) { q = q[:mutantSub(1651, len(q),mutantNear[int](1652, 1))] }
	if !mutantIs(1654) { *h = q }
	if ((len(q) == mutantNear[int](1656, 0)) != mutantIs(1655)) {
		return top
	}
	i := mutantNear[int](1658, 0)
	for {
		child := mutantAdd(1660, mutantNear[int](1661, 2)*i , mutantNear[int](1663, 1))
		if mutantAtLeast(1665, child , len(q)) {
			if mutantIs(1667) { continue }; break
		}
		if ((((mutantLess(1670, mutantAdd(1672, child,mutantNear[int](1673, 1)) , len(q))) != mutantIs(1668)) && ((((q[mutantAdd(1675, child,mutantNear[int](1676, 1))].before(q[child])) != mutantIs(1669))) != mutantIs(1668))) != mutantIs(1668)) {
			if !mutantIs(1678) { child += mutantTurn[int](1679, 1) }
		}
		if ((!q[child].before(last)) != mutantIs(1680)) {
			if mutantIs(1681) { continue }; break
		}
		if !mutantIs(1682) { q[i] = q[child] }
		if !mutantIs(1683) { i = child }
	}
	if !mutantIs(1684) { q[i] = last }
	return top
}
