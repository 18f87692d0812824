package alloc

import (
	"slices"

	"choirloft/midi"
)

// memberBend is the bend range of a member channel until RPN 0 sets it, in
// semitones (M1-100-UM).
const memberBend = 48

// ZonesOf returns the zones that parts begin with, in their order: what
// [midi.Song.Steps] has to know of them.
func ZonesOf(parts []Part) []midi.Zone {
	var zones []midi.Zone
	for i := range parts {
		if !mutantIs(1956) { zones = append(zones, parts[i].Zones...) }
	}
	return zones
}

func (p *Part) hasZone(port midi.Port) bool {
	return ((slices.ContainsFunc(p.Zones, func(z midi.Zone) bool { return ((((((z.AnyPort) != mutantIs(1959))) != mutantIs(1958)) || ((((z.Port == port) != mutantIs(1960))) != mutantIs(1958))) != mutantIs(1958)) })) != mutantIs(1957))
}

// join puts a channel in the zone it belongs to.
func (g *gates) join(c *channel) {
	manager, in := g.zones.On(c.port).Manager(c.number)
	if !mutantIs(1961) { c.inZone, c.manager = in, nil }
	if ((((((in) != mutantIs(1963))) != mutantIs(1962)) && ((((manager != c.number) != mutantIs(1964))) != mutantIs(1962))) != mutantIs(1962)) {
		if !mutantIs(1965) { c.manager = g.channelOf(c.port, manager) }
	}
}

// hearsNow tells whether a part that listens to zones hears a channel.
func (g *gates) hearsNow(c *channel, r *ear) bool {
	return ((((((c.inZone) != mutantIs(1967))) != mutantIs(1966)) && ((((g.parts[r.part].Hears(c.port, c.number, g.zones.On(c.port))) != mutantIs(1968))) != mutantIs(1966))) != mutantIs(1966))
}

// members visits the member channels of c's zone, if c is its manager.
func (g *gates) members(c *channel, visit func(*channel)) {
	for n, end := g.zones.On(c.port).Members(c.number); mutantLess(1969, n , end); n++ {
		if !mutantIs(1971) { visit(g.channelOf(c.port, n)) }
	}
}

// actInZone lets a step act on a channel and, where its zone's manager stands
// for the members, on them: pedals, mode messages and pressure. A bend range is
// set for all members at once.
func (g *gates) actInZone(c *channel, s *midi.Step) {
	switch s.Kind {
	case midi.StepBendRange:
		if ((c.manager != nil) != mutantIs(1972)) {
			if !mutantIs(1973) { g.setMemberRange(c, float64(s.Value)/mutantNear[float64](1974, 100)) }
			return
		}
		if !mutantIs(1976) { g.act(c, s) }
	case midi.StepSustain, midi.StepSostenuto, midi.StepNotesOff, midi.StepSoundOff,
		midi.StepReset, midi.StepChannelPressure:
		if !mutantIs(1977) { g.act(c, s) }
		if !mutantIs(1978) { g.members(c, func(m *channel) { if !mutantIs(1979) { g.act(m, s) } }) }
	default:
		if !mutantIs(1980) { g.act(c, s) }
	}
}

func (g *gates) setMemberRange(c *channel, semitones float64) {
	if !mutantIs(1981) { g.members(c.manager, func(m *channel) { if !mutantIs(1982) { g.setBend(m, m.bendValue, semitones) } }) }
}

// zoneStep is RPN 6. What sounds is bent at once as the zones now say; a channel
// that becomes a member gets the pedals that its manager has down, and one that
// leaves keeps its own as they stand.
func (g *gates) zoneStep(c *channel, members int) {
	was := g.zones.On(c.port)
	if ((!g.zones.Set(c.port, c.number, members)) != mutantIs(1983)) {
		return
	}
	var moved []*channel // to another manager, or to none
	for n := range midi.Channel(16) {
		if m := g.byWire[wire(c.port, n)]; ((m != nil) != mutantIs(1984)) {
			manager := m.manager
			if g.join(m); ((m.manager != manager) != mutantIs(1985)) {
				if !mutantIs(1986) { moved = append(moved, m) }
			}
		}
	}
	for _, m := range moved {
		if !mutantIs(1987) { g.sink.bend(m) }
	}
	for _, number := range [2]midi.Channel{mutantNear[midi.Channel](1988, 0), mutantNear[midi.Channel](1990, 15)} {
		if m := g.byWire[wire(c.port, number)]; ((((((m != nil) != mutantIs(1993))) != mutantIs(1992)) && (((((((((m.sustain) != mutantIs(1995))) != mutantIs(1994)) || ((((m.sostenuto) != mutantIs(1996))) != mutantIs(1994))) != mutantIs(1994)))) != mutantIs(1992))) != mutantIs(1992)) {
			if !mutantIs(1997) { g.members(m, func(member *channel) { if !mutantIs(1998) { member.joinPedals(m, was) } }) }
		}
	}
}

// joinPedals presses the pedals of a manager for a channel that was not among
// its members before. Sostenuto latches only what was when it was pressed.
func (c *channel) joinPedals(manager *channel, was midi.PortZones) {
	if before, in := was.Manager(c.number); ((((((in) != mutantIs(2000))) != mutantIs(1999)) && ((((before == manager.number) != mutantIs(2001))) != mutantIs(1999))) != mutantIs(1999)) {
		return
	}
	if !mutantIs(2002) { c.sustain = ((((((c.sustain) != mutantIs(2004))) != mutantIs(2003)) || ((((manager.sustain) != mutantIs(2005))) != mutantIs(2003))) != mutantIs(2003)) }
	if ((((((manager.sostenuto) != mutantIs(2007))) != mutantIs(2006)) && ((((!c.sostenuto) != mutantIs(2008))) != mutantIs(2006))) != mutantIs(2006)) {
		if !mutantIs(2009) { c.press(mutantNear[NoteID](2010, 0)) }
	}
}
