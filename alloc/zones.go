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

// portZones is how the channels of a port are shared out.
type portZones struct {
	lower, upper           int     // members
	lowerRange, upperRange float64 // bend range of the members; negative until set
}

func (p *Part) hasZone(port midi.Port) bool {
	return slices.ContainsFunc(p.Zones, func(z Zone) bool { return z.AnyPort || z.Port == port })
}

// zonesOf returns the zones of a port, at first those that parts ask for.
func (g *gates) zonesOf(port midi.Port) *portZones {
	at := &g.ports[port&127]
	if *at == nil {
		*at = &portZones{lowerRange: -1, upperRange: -1}
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

// set makes a zone of so many members; the other one gives way.
func (z *portZones) set(upper bool, members int) {
	members = min(max(members, 0), 15)
	if upper {
		z.upper = members
		z.lower = min(z.lower, max(0, 14-members))
	} else {
		z.lower = members
		z.upper = min(z.upper, max(0, 14-members))
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
	z := g.zonesOf(c.port)
	in, manages := z.place(c.number)
	c.zone, c.manager = in, nil
	if in == noZone || manages {
		return
	}
	number, bendRange := midi.Channel(0), z.lowerRange
	if in == upperZone {
		number, bendRange = 15, z.upperRange
	}
	c.manager = g.channelOf(c.port, number)
	c.bendRange = bendRange
}

// inZone tells whether a channel is in a zone that its part listens to.
func (g *gates) inZone(c *channel, r *ear) bool {
	return c.zone != noZone && slices.ContainsFunc(g.parts[r.part].Zones, func(z Zone) bool {
		return (z.AnyPort || z.Port == c.port) && z.Upper == (c.zone == upperZone)
	})
}

// members visits the member channels of c's zone that were met, if c is its
// manager.
func (g *gates) members(c *channel, visit func(*channel)) {
	if c.zone == noZone || c.manager != nil {
		return
	}
	for n := range midi.Channel(16) {
		if m := g.byWire[wire(c.port, n)]; m != nil && m.manager == c {
			visit(m)
		}
	}
}

// actInZone lets a step act on a channel and, where its zone's manager stands
// for the members, on them: pedals, mode messages and pressure. The manager's
// bend is added to the members'; a bend range is set for all members at once.
func (g *gates) actInZone(c *channel, s *midi.Step) {
	switch s.Kind {
	case midi.StepBendRange:
		if c.manager != nil {
			g.setMemberRange(c, float64(s.Value)/100)
			return
		}
		g.act(c, s)
		g.members(c, g.sink.bend)
	case midi.StepBend:
		g.act(c, s)
		g.members(c, g.sink.bend)
	case midi.StepSustain, midi.StepSostenuto, midi.StepNotesOff, midi.StepSoundOff,
		midi.StepReset, midi.StepChannelPressure:
		g.act(c, s)
		g.members(c, func(m *channel) { g.act(m, s) })
	default:
		g.act(c, s)
	}
}

func (g *gates) setMemberRange(c *channel, semitones float64) {
	z := g.zonesOf(c.port)
	if c.zone == lowerZone {
		z.lowerRange = semitones
	} else {
		z.upperRange = semitones
	}
	g.members(c.manager, func(m *channel) { g.setBend(m, m.bendValue, semitones) })
}

// zoneStep is RPN 6, which only a manager channel may send.
func (g *gates) zoneStep(c *channel, members int) {
	if c.number != 0 && c.number != 15 {
		return
	}
	g.zonesOf(c.port).set(c.number == 15, members)
	for n := range midi.Channel(16) {
		if m := g.byWire[wire(c.port, n)]; m != nil {
			g.join(m)
		}
	}
}
