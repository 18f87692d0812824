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
		zones = append(zones, parts[i].Zones...)
	}
	return zones
}

func (p *Part) hasZone(port midi.Port) bool {
	return slices.ContainsFunc(p.Zones, func(z midi.Zone) bool { return z.AnyPort || z.Port == port })
}

// join puts a channel in the zone it belongs to.
func (g *gates) join(c *channel) {
	manager, in := g.zones.On(c.port).Manager(c.number)
	c.inZone, c.manager = in, nil
	if in && manager != c.number {
		c.manager = g.channelOf(c.port, manager)
	}
}

// hearsNow tells whether a part that listens to zones hears a channel.
func (g *gates) hearsNow(c *channel, r *ear) bool {
	return c.inZone && g.parts[r.part].Hears(c.port, c.number, g.zones.On(c.port))
}

// members visits the member channels of c's zone, if c is its manager.
func (g *gates) members(c *channel, visit func(*channel)) {
	for n, end := g.zones.On(c.port).Members(c.number); n < end; n++ {
		visit(g.channelOf(c.port, n))
	}
}

// actInZone lets a step act on a channel and, where its zone's manager stands
// for the members, on them: pedals, mode messages and pressure. A bend range is
// set for all members at once.
func (g *gates) actInZone(c *channel, s *midi.Step) {
	switch s.Kind {
	case midi.StepBendRange:
		if c.manager != nil {
			g.setMemberRange(c, float64(s.Value)/100)
			return
		}
		g.act(c, s)
	case midi.StepSustain, midi.StepSostenuto, midi.StepNotesOff, midi.StepSoundOff,
		midi.StepReset, midi.StepChannelPressure:
		g.act(c, s)
		g.members(c, func(m *channel) { g.act(m, s) })
	default:
		g.act(c, s)
	}
}

func (g *gates) setMemberRange(c *channel, semitones float64) {
	g.members(c.manager, func(m *channel) { g.setBend(m, m.bendValue, semitones) })
}

// zoneStep is RPN 6. What sounds is bent at once as the zones now say; a channel
// that becomes a member gets the pedals that its manager has down, and one that
// leaves keeps its own as they stand.
func (g *gates) zoneStep(c *channel, members int) {
	was := g.zones.On(c.port)
	if !g.zones.Set(c.port, c.number, members) {
		return
	}
	var moved []*channel // to another manager, or to none
	for n := range midi.Channel(16) {
		if m := g.byWire[wire(c.port, n)]; m != nil {
			manager := m.manager
			if g.join(m); m.manager != manager {
				moved = append(moved, m)
			}
		}
	}
	for _, m := range moved {
		g.sink.bend(m)
	}
	for _, number := range [2]midi.Channel{0, 15} {
		if m := g.byWire[wire(c.port, number)]; m != nil && (m.sustain || m.sostenuto) {
			g.members(m, func(member *channel) { member.joinPedals(m, was) })
		}
	}
}

// joinPedals presses the pedals of a manager for a channel that was not among
// its members before. Sostenuto latches only what was when it was pressed.
func (c *channel) joinPedals(manager *channel, was midi.PortZones) {
	if before, in := was.Manager(c.number); in && before == manager.number {
		return
	}
	c.sustain = c.sustain || manager.sustain
	if manager.sostenuto && !c.sostenuto {
		c.press(0)
	}
}
