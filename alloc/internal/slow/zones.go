package slow

import (
	"slices"
	"time"

	"choirloft/alloc"
	"choirloft/midi"
)

// zones are how many members the two zones of a port have.
type zones struct{ lower, upper int }

// set gives a zone its members. The other one shrinks so that the two do not
// overlap; its manager needs a channel too.
func (z *zones) set(upper bool, members int) {
	if upper {
		z.upper = members
		if members > 0 {
			z.lower = max(0, min(z.lower, 14-members))
		}
		return
	}
	z.lower = members
	if members > 0 {
		z.upper = max(0, min(z.upper, 14-members))
	}
}

// zonesOf are the zones of a port: those the parts begin with, until RPN 6
// says otherwise.
func (g *gates) zonesOf(port midi.Port) *zones {
	if g.zones[port] == nil {
		g.zones[port] = new(zones)
		for _, part := range g.cfg.Parts {
			for _, z := range part.Zones {
				if z.AnyPort || z.Port == port {
					g.zones[port].set(z.Upper, z.Members)
				}
			}
		}
	}
	return g.zones[port]
}

// members lists the member channels of the zone which that channel manages, in
// ascending order; none if it manages none.
func (g *gates) members(l line) []line {
	var lines []line
	z := g.zonesOf(l.port)
	switch l.channel {
	case 0:
		for c := 1; c <= z.lower; c++ {
			lines = append(lines, line{l.port, midi.Channel(c)})
		}
	case 15:
		for c := 15 - z.upper; c < 15; c++ {
			lines = append(lines, line{l.port, midi.Channel(c)})
		}
	}
	return lines
}

// manager is the channel that manages the zone of which that one is a member.
func (g *gates) manager(l line) (line, bool) {
	for _, c := range []midi.Channel{0, 15} {
		if m := (line{l.port, c}); slices.Contains(g.members(m), l) {
			return m, true
		}
	}
	return line{}, false
}

// setZone is RPN 6, which counts on channels 1 and 16 only, and only where a
// part has per-note channels. A channel with another manager than before is bent
// as that one and its own wheel say, and has those pedals that the manager has
// down; sostenuto latches nothing by that.
func (g *gates) setZone(l line, at time.Duration, members int) {
	zoned := func(p alloc.Part) bool { return len(p.Zones) > 0 }
	if !slices.ContainsFunc(g.cfg.Parts, zoned) || l.channel != 0 && l.channel != 15 {
		return
	}
	was := map[line]line{} // managers, by member
	for c := range midi.Channel(16) {
		if m, ok := g.manager(line{l.port, c}); ok {
			was[line{l.port, c}] = m
		}
	}
	g.zonesOf(l.port).set(l.channel == 15, members)
	for c := range midi.Channel(16) {
		member := line{l.port, c}
		m, is := g.manager(member)
		if before, was := was[member]; is == was && m == before {
			continue
		}
		g.tellBend(member, at)
		if is {
			g.sustain[member] = g.sustain[member] || g.sustain[m]
			g.sostenuto[member] = g.sostenuto[member] || g.sostenuto[m]
		}
	}
}

// goesToAll tells whether a step on a manager acts on the members as well.
func goesToAll(kind midi.StepKind) bool {
	switch kind {
	case midi.StepSustain, midi.StepSostenuto, midi.StepNotesOff, midi.StepSoundOff,
		midi.StepReset, midi.StepChannelPressure:
		return true
	}
	return false
}

// listens tells whether the part hears that channel of that port: one with
// zones hears the managers and the members as they stand.
func (g *gates) listens(p alloc.Part, l line) bool {
	for _, z := range p.Zones {
		if !z.AnyPort && z.Port != l.port {
			continue
		}
		manager := line{l.port, 0}
		if z.Upper {
			manager.channel = 15
		}
		if members := g.members(manager); len(members) > 0 && (l == manager || slices.Contains(members, l)) {
			return true
		}
	}
	if len(p.Zones) > 0 {
		return false
	}
	for _, s := range p.Sources {
		if (s.AnyPort || s.Port == l.port) && s.Channels&(1<<l.channel) != 0 {
			return true
		}
	}
	return false
}

// hears tells whether the part takes that key of that channel.
func (g *gates) hears(p alloc.Part, w wire) bool {
	return g.listens(p, w.line) && p.Keys.Contains(w.key)
}

// bend is how a channel's wheel stands.
type bend struct {
	value uint16 // 0–16383
	cents int    // the range RPN 0 gave, or −1
}

const (
	centre      = 8192
	memberRange = 48 // semitones, of member channels until RPN 0
)

// semitones of the bend: full up is 8191/8192 of the range, full down all of
// it. usual is the range until RPN 0 says otherwise.
func (b bend) semitones(usual float64) float64 {
	if b.cents >= 0 {
		usual = float64(b.cents) / 100
	}
	return usual * (float64(b.value) - centre) / 8192
}

// bend is how the wheel of a channel stands.
func (g *gates) bend(l line) bend {
	if b, ok := g.bends[l]; ok {
		return b
	}
	return bend{centre, -1}
}

// total is the bend of a part's notes on a channel, in semitones. On a member
// that of the manager comes on top.
func (g *gates) total(p alloc.Part, l line) float64 {
	if m, ok := g.manager(l); ok {
		return g.bend(l).semitones(memberRange) + g.bend(m).semitones(p.BendRange)
	}
	return g.bend(l).semitones(p.BendRange)
}

// setBend sets the wheel of a channel; a manager's moves the members too.
func (g *gates) setBend(l line, at time.Duration, b bend) {
	g.bends[l] = b
	for _, l := range append([]line{l}, g.members(l)...) {
		g.tellBend(l, at)
	}
}

// tellBend says what the bend of a channel is now.
func (g *gates) tellBend(l line, at time.Duration) {
	h := happening{at: at, kind: bent, line: l}
	for _, part := range g.cfg.Parts {
		h.bends = append(h.bends, g.total(part, l))
	}
	g.out = append(g.out, h)
}

// setRange is RPN 0: on any member it sets the range of all members.
func (g *gates) setRange(l line, at time.Duration, cents int) {
	lines := []line{l}
	if m, ok := g.manager(l); ok {
		lines = g.members(m)
	}
	for _, l := range lines {
		g.setBend(l, at, bend{g.bend(l).value, cents})
	}
}
