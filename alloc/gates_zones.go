package alloc

import (
	"slices"

	"choirloft/midi"
)

// zone is the MPE zone that a channel is in.
type zone uint8

const (
	noZone zone = iota
	lowerZone
	upperZone
)

// memberBend is the bend range of a member channel until RPN 0 sets it, in
// semitones (M1-100-UM).
const memberBend = 48

// portZones is how many members the two zones of a port have.
type portZones struct{ lower, upper int }

func (p *Part) hasZone(port midi.Port) bool {
	return slices.ContainsFunc(p.Zones, func(z Zone) bool { return z.AnyPort || z.Port == port })
}

// zonesOf returns the zones of a port, at first those that parts ask for.
func (g *gates) zonesOf(port midi.Port) *portZones {
	at := &g.ports[port&127]
	if *at == nil {
		*at = &portZones{}
		for i := range g.parts {
			for _, z := range g.parts[i].Zones {
				if z.AnyPort || z.Port == port {
					(*at).set(z.Upper, z.Members)
				}
			}
		}
	}
	return *at
}

// set makes a zone of so many members; the other one gives way, if only for
// the manager.
func (z *portZones) set(upper bool, members int) {
	members = min(max(members, 0), 15)
	this, other := &z.lower, &z.upper
	if upper {
		this, other = other, this
	}
	*this = members
	if members > 0 {
		*other = max(0, min(*other, 14-members))
	}
}

// place returns the zone of a channel and whether it is its manager.
func (z *portZones) place(number midi.Channel) (in zone, manages bool) {
	n := int(number)
	switch {
	case z.lower > 0 && n <= z.lower:
		return lowerZone, n == 0
	case z.upper > 0 && n >= 15-z.upper:
		return upperZone, n == 15
	}
	return noZone, false
}

// join puts a channel in the zone it belongs to.
func (g *gates) join(c *channel) {
	in, manages := g.zonesOf(c.port).place(c.number)
	c.zone, c.manager = in, nil
	switch {
	case in == noZone || manages:
	case in == lowerZone:
		c.manager = g.channelOf(c.port, 0)
	default:
		c.manager = g.channelOf(c.port, 15)
	}
}

// inZone tells whether a channel is in a zone that its part listens to.
func (g *gates) inZone(c *channel, r *ear) bool {
	return c.zone != noZone && slices.ContainsFunc(g.parts[r.part].Zones, func(z Zone) bool {
		return (z.AnyPort || z.Port == c.port) && z.Upper == (c.zone == upperZone)
	})
}

// members visits the member channels of c's zone, if c is its manager.
func (g *gates) members(c *channel, visit func(*channel)) {
	if c.zone == noZone || c.manager != nil {
		return
	}
	z := g.zonesOf(c.port)
	for n := range midi.Channel(16) {
		if in, manages := z.place(n); in == c.zone && !manages {
			visit(g.channelOf(c.port, n))
		}
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

// zoneStep is RPN 6, which only a manager channel may send, and which counts
// only where a part has per-note channels. What sounds is bent at once as the
// zones now say; a channel that becomes a member gets the pedals that its
// manager has down, and one that leaves keeps its own as they stand.
func (g *gates) zoneStep(c *channel, members int) {
	zoned := func(p Part) bool { return len(p.Zones) > 0 }
	if c.number != 0 && c.number != 15 || !slices.ContainsFunc(g.parts, zoned) {
		return
	}
	zones := g.zonesOf(c.port)
	was := *zones
	zones.set(c.number == 15, members)
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
			g.members(m, func(member *channel) { member.joinPedals(m, &was) })
		}
	}
}

// joinPedals presses the pedals of a manager for a channel that was not among
// its members before. Sostenuto latches only what was when it was pressed.
func (c *channel) joinPedals(manager *channel, was *portZones) {
	if in, _ := was.place(c.number); in == manager.zone {
		return
	}
	c.sustain = c.sustain || manager.sustain
	if manager.sostenuto && !c.sostenuto {
		c.sostenuto, c.mark = true, 0
	}
}
