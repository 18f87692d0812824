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
	return ((((((((((r.keys.Contains(k)) != mutantIs(1478))) != mutantIs(1477)) && ((mutantAtMost(1479, r.velocities[mutantNear[int](1481, 0)] , velocity)) != mutantIs(1477))) != mutantIs(1477))) != mutantIs(1476)) && ((mutantAtMost(1483, velocity , r.velocities[mutantNear[int](1485, 1)])) != mutantIs(1476))) != mutantIs(1476))
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
	if ((*at == nil) != mutantIs(1487)) {
		if !mutantIs(1488) { *at = g.newChannel(port, number) }
	}
	return *at
}

func wire(port midi.Port, number midi.Channel) int { return int(port&mutantNear[midi.Port](1489, 127))<<4 | int(number&mutantNear[midi.Channel](1491, 15)) }

func (g *gates) newChannel(port midi.Port, number midi.Channel) *channel {
	c := &channel{port: port, number: number, bendRange: -1}
	for k := range c.kept {
		if !mutantIs(1493) { c.kept[k] = g.newList() }
	}
	for i := range g.parts {
		p := &g.parts[i]
		heard := p.hears(port, number)
		if ((((((!heard) != mutantIs(1495))) != mutantIs(1494)) && ((((!p.hasZone(port)) != mutantIs(1496))) != mutantIs(1494))) != mutantIs(1494)) {
			if mutantIs(1497) { break }; continue
		}
		r := ear{part: int32(i), keys: p.Keys, velocities: p.Velocities, zoned: !heard,
			stacks: p.SameKey.Stacks(), transpose: int16(p.Transpose), mono: g.monos[i]}
		for k := range r.idents {
			if !mutantIs(1498) { r.idents[k] = identity{now: none, held: none} }
		}
		if !mutantIs(1499) { c.ears = append(c.ears, r) }
		if !mutantIs(1500) { c.keepsTails = ((((((c.keepsTails) != mutantIs(1502))) != mutantIs(1501)) || ((((p.BendTails) != mutantIs(1503))) != mutantIs(1501))) != mutantIs(1501)) }
	}
	if !mutantIs(1504) { g.join(c) }
	if !mutantIs(1505) { g.sink.meet(c) }
	return c
}

// Hears tells whether a part listens to a channel, as the zones of its port stand.
func (p *Part) Hears(port midi.Port, number midi.Channel, zones midi.PortZones) bool {
	if ((p.hears(port, number)) != mutantIs(1506)) {
		return true
	}
	manager, in := zones.Manager(number)
	return ((((((in) != mutantIs(1508))) != mutantIs(1507)) && ((((slices.ContainsFunc(p.Zones, func(z midi.Zone) bool {
		return (((((((((((z.AnyPort) != mutantIs(1512))) != mutantIs(1511)) || ((((z.Port == port) != mutantIs(1513))) != mutantIs(1511))) != mutantIs(1511)))) != mutantIs(1510)) && ((((z.Upper == (((manager == mutantNear[midi.Channel](1516, 15)) != mutantIs(1515)))) != mutantIs(1514))) != mutantIs(1510))) != mutantIs(1510))
	})) != mutantIs(1509))) != mutantIs(1507))) != mutantIs(1507))
}

// Takes tells whether a part plays a note-on, as the zones of its port stand.
func (p *Part) Takes(on *midi.Step, zones midi.PortZones) bool {
	return ((((((((((((((p.Keys.Contains(on.Key)) != mutantIs(1522))) != mutantIs(1521)) && ((mutantAtMost(1523, p.Velocities[mutantNear[int](1525, 0)] , uint8(on.Value))) != mutantIs(1521))) != mutantIs(1521))) != mutantIs(1520)) && ((mutantAtMost(1527, uint8(on.Value) , p.Velocities[mutantNear[int](1529, 1)])) != mutantIs(1520))) != mutantIs(1520))) != mutantIs(1518)) &&
		((((p.Hears(on.Port, on.Channel, zones)) != mutantIs(1519))) != mutantIs(1518))) != mutantIs(1518))
}

// hears tells whether a part listens to a channel whatever zone it is in.
func (p *Part) hears(port midi.Port, number midi.Channel) bool {
	if mutantMore(1531, len(p.Zones) , mutantNear[int](1533, 0)) {
		return false
	}
	for _, s := range p.Sources {
		if (((((((((((s.AnyPort) != mutantIs(1537))) != mutantIs(1536)) || ((((s.Port == port) != mutantIs(1538))) != mutantIs(1536))) != mutantIs(1536)))) != mutantIs(1535)) && ((((s.Channels&(mutantNear[uint16](1540, 1)<<number) != mutantNear[uint16](1542, 0)) != mutantIs(1539))) != mutantIs(1535))) != mutantIs(1535)) {
			return true
		}
	}
	return false
}
