package alloc

import (
	"slices"

	"choirloft/midi"
)

// identity is one key of one channel in one part.
type identity struct {
	down int32 // note-ons not yet matched, unless cleared by a mode message
	now  int32 // retrigger: the note that sounds; none
	held int32 // stack: the list of notes whose key is down, oldest first
}

// ear is a part that listens to a channel.
type ear struct {
	part       int32
	keys       KeyRange
	velocities [2]uint8
	stacks     bool
	zoned      bool // only while the channel is in a zone of the part
	transpose  int16
	mono       *mono
	idents     [128]identity
}

func (r *ear) takes(k midi.Key, velocity uint8) bool {
	return r.keys.Contains(k) && r.velocities[0] <= velocity && velocity <= r.velocities[1]
}

// channel is the state of one channel of one port.
type channel struct {
	ears       []ear
	kept       [keepers]int32 // lists of the notes whose key is up, by keeper
	voiced     int32          // fleet: list of the voices that hold its notes, by NoteID
	tails      int32          // fleet: list of the tails of its notes, if bend moves tails
	bendValue  float64        // −1 … +8191/8192 of the range
	bendRange  float64        // semitones; negative until RPN 0 sets it
	mark       NoteID         // sostenuto latches key-down notes before this one
	presses    uint32         // of sostenuto
	port       midi.Port
	number     midi.Channel
	pressure   uint8
	sustain    bool
	sostenuto  bool
	keepsTails bool        // some part's bend moves tails
	inZone     bool        // of per-note channels
	manager    *channel    // of a member of a zone
	place      int16       // recorder: in its script
	raw        [128]uint32 // note-ons minus note-offs
}

func (g *gates) channelOf(port midi.Port, number midi.Channel) *channel {
	at := &g.byWire[wire(port, number)]
	if *at == nil {
		*at = g.newChannel(port, number)
	}
	return *at
}

func wire(port midi.Port, number midi.Channel) int { return int(port&127)<<4 | int(number&15) }

func (g *gates) newChannel(port midi.Port, number midi.Channel) *channel {
	c := &channel{port: port, number: number, bendRange: -1}
	for k := range c.kept {
		c.kept[k] = g.newList()
	}
	for i := range g.parts {
		p := &g.parts[i]
		heard := p.hears(port, number)
		if !heard && !p.hasZone(port) {
			continue
		}
		r := ear{part: int32(i), keys: p.Keys, velocities: p.Velocities, zoned: !heard,
			stacks: p.SameKey.Stacks(), transpose: int16(p.Transpose), mono: g.monos[i]}
		for k := range r.idents {
			r.idents[k] = identity{now: none, held: none}
		}
		c.ears = append(c.ears, r)
		c.keepsTails = c.keepsTails || p.BendTails
	}
	g.join(c)
	g.sink.meet(c)
	return c
}

// Hears tells whether a part listens to a channel, as the zones of its port stand.
func (p *Part) Hears(port midi.Port, number midi.Channel, zones midi.PortZones) bool {
	if p.hears(port, number) {
		return true
	}
	manager, in := zones.Manager(number)
	return in && slices.ContainsFunc(p.Zones, func(z midi.Zone) bool {
		return (z.AnyPort || z.Port == port) && z.Upper == (manager == 15)
	})
}

// Takes tells whether a part plays a note-on, as the zones of its port stand.
func (p *Part) Takes(on *midi.Step, zones midi.PortZones) bool {
	return p.Keys.Contains(on.Key) && p.Velocities[0] <= uint8(on.Value) && uint8(on.Value) <= p.Velocities[1] &&
		p.Hears(on.Port, on.Channel, zones)
}

// hears tells whether a part listens to a channel whatever zone it is in.
func (p *Part) hears(port midi.Port, number midi.Channel) bool {
	if len(p.Zones) > 0 {
		return false
	}
	for _, s := range p.Sources {
		if (s.AnyPort || s.Port == port) && s.Channels&(1<<number) != 0 {
			return true
		}
	}
	return false
}
