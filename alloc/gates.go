package alloc

import (
	"time"

	"choirloft/midi"
)

// gates follows keys and pedals and tells a sink, for every note of every
// part, when its gate opens, passes to a pedal and closes. It knows no voices:
// run alone, it is what the song asks for.
type gates struct {
	sink    sink
	parts   []Part
	minGate time.Duration

	now      time.Duration
	next     NoteID
	slots    []slot
	waiting  links // slots whose key is up, by channel and keeper
	ofKey    links // key-down slots of one identity, for the stacking rules
	unused   []int32
	closings closings
	gather   []int32 // scratch

	byWire [128 * 16]*channel // port and channel

	unmapped    int
	orphans     int
	partOrphans []int
}

// sink hears what the gates do. Slots stay valid until closed or followed.
type sink interface {
	meet(c *channel) // before anything else of that channel
	open(s int32)
	// follow: note s takes the place of note old, whose key was struck again.
	follow(s, old int32)
	// hold: the key is up, a pedal keeps the gate high.
	hold(s int32)
	// swallow: the note is about to close by an earlier note's off.
	swallow(s int32)
	close(s int32)
	bend(c *channel)
	pressure(c *channel)
	keyPressure(c *channel, k midi.Key, value uint8)
}

// slot is a note whose gate is open.
type slot struct {
	id       NoteID
	voice    int32 // kept here for the pool layer; none if it has no voice
	ident    *identity
	channel  *channel
	start    time.Duration
	part     int32
	sounding int16
	key      midi.Key
	velocity uint8
	zero     bool
	down     bool   // the key is down
	carried  bool   // took over a sostenuto latch from the note it followed
	foreign  bool   // its key went up by the off of an earlier note
	keeper   keeper // what keeps the gate high though the key is up
}

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
	transpose  int16
	idents     [128]identity
}

func (r *ear) takes(k midi.Key, velocity uint8) bool {
	return r.keys.Contains(k) && r.velocities[0] <= velocity && velocity <= r.velocities[1]
}

// channel is the state of one channel of one port.
type channel struct {
	ears       []ear
	kept       [keepers]int32 // lists of the notes whose key is up, by keeper
	voiced     int32          // pool layer: list of the voices that hold its notes, by NoteID
	tails      int32          // pool layer: list of the tails of its notes, if bend moves tails
	bendValue  float64        // −1 … +8191/8192 of the range
	bendRange  float64        // semitones; negative until RPN 0 sets it
	mark       NoteID         // sostenuto latches key-down notes before this one
	port       midi.Port
	number     midi.Channel
	pressure   uint8
	sustain    bool
	sostenuto  bool
	keepsTails bool        // some part's bend moves tails
	raw        [128]uint32 // note-ons minus note-offs
}

func (g *gates) init(parts []Part, minGate time.Duration, s sink) {
	*g = gates{sink: s, parts: parts, minGate: minGate, partOrphans: make([]int, len(parts))}
}

func (g *gates) channelOf(port midi.Port, number midi.Channel) *channel {
	at := &g.byWire[int(port&127)<<4|int(number&15)]
	if *at == nil {
		*at = g.newChannel(port, number)
	}
	return *at
}

func (g *gates) newChannel(port midi.Port, number midi.Channel) *channel {
	c := &channel{port: port, number: number, bendRange: -1}
	for k := range c.kept {
		c.kept[k] = g.newList()
	}
	for i := range g.parts {
		if !g.parts[i].hears(port, number) {
			continue
		}
		p := &g.parts[i]
		r := ear{part: int32(i), keys: p.Keys, velocities: p.Velocities,
			stacks: p.SameKey.Stacks(), transpose: int16(p.Transpose)}
		for k := range r.idents {
			r.idents[k] = identity{now: none, held: none}
		}
		c.ears = append(c.ears, r)
		c.keepsTails = c.keepsTails || p.BendTails
	}
	g.sink.meet(c)
	return c
}

func (p *Part) hears(port midi.Port, number midi.Channel) bool {
	for _, s := range p.Sources {
		if (s.AnyPort || s.Port == port) && s.Channels&(1<<number) != 0 {
			return true
		}
	}
	return false
}

// feed plays one step.
func (g *gates) feed(s *midi.Step) {
	g.advance(s.At)
	g.now = s.At
	c := g.channelOf(s.Port, s.Channel)
	switch s.Kind {
	case midi.StepNoteOn:
		g.noteOn(c, s)
	case midi.StepNoteOff:
		g.noteOff(c, s.Key)
	case midi.StepSustain:
		g.setSustain(c, s.Down())
	case midi.StepSostenuto:
		g.setSostenuto(c, s.Down())
	case midi.StepNotesOff:
		g.notesOff(c)
	case midi.StepSoundOff:
		g.soundOff(c)
	case midi.StepReset:
		g.reset(c)
	case midi.StepBend:
		g.setBend(c, (float64(s.Value)-8192)/8192, c.bendRange)
	case midi.StepBendRange:
		g.setBend(c, c.bendValue, float64(s.Value)/100)
	case midi.StepChannelPressure:
		g.setPressure(c, uint8(s.Value))
	case midi.StepKeyPressure:
		g.sink.keyPressure(c, s.Key&127, uint8(s.Value))
	}
}

func (g *gates) noteOn(c *channel, s *midi.Step) {
	k := s.Key & 127
	c.raw[k]++
	taken := false
	for n := range c.ears {
		r := &c.ears[n]
		if r.takes(k, uint8(s.Value)) {
			g.start(c, r, s)
			taken = true
		}
	}
	if !taken {
		g.unmapped++
	}
}

func (g *gates) start(c *channel, r *ear, on *midi.Step) {
	k := on.Key & 127
	ident := &r.idents[k]
	ident.down++
	i := g.newSlot()
	s := &g.slots[i]
	s.id, s.voice, s.ident, s.channel, s.start = g.next, none, ident, c, g.now
	s.part, s.sounding, s.key, s.velocity = r.part, int16(k)+r.transpose, k, uint8(on.Value)
	s.zero, s.down, s.carried, s.foreign, s.keeper = on.Zero, true, false, false, nobody
	g.next++
	if r.stacks {
		if ident.held == none {
			ident.held = g.newList()
		}
		g.ofKey.push(ident.held, i)
		g.sink.open(i)
		return
	}
	old := ident.now
	ident.now = i
	if old == none {
		g.sink.open(i)
		return
	}
	s.carried = latches(&g.slots[old]) || g.slots[old].keeper == sostenuto
	g.unlink(old)
	g.sink.follow(i, old)
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
		if ident := &r.idents[k]; ident.down > 0 {
			ident.down--
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
	s := &g.slots[ident.now]
	if s.down || ident.down == 0 {
		s.foreign = ident.down > 0
	}
	g.keyGoesUp(ident.now)
}

func (g *gates) orphan(c *channel, k midi.Key) {
	g.orphans++
	for n := range c.ears {
		if r := &c.ears[n]; r.keys.Contains(k) {
			g.partOrphans[r.part]++
		}
	}
}

// keyGoesUp ends the key of a note: a pedal may keep the note, or it closes.
func (g *gates) keyGoesUp(i int32) {
	if i == none {
		return
	}
	s := &g.slots[i]
	if !s.down {
		return
	}
	latched := latches(s)
	g.lift(i)
	switch {
	case latched:
		g.keep(i, sostenuto)
		g.sink.hold(i)
	case s.channel.sustain:
		g.keep(i, sustain)
		g.sink.hold(i)
	default:
		g.finish(i)
	}
}

// lift marks the key of a note as up.
func (g *gates) lift(i int32) {
	s := &g.slots[i]
	if s.down && s.ident.held != none {
		g.ofKey.remove(i)
	}
	s.down = false
}

// finish closes a note whose key is up, at once or when its minimum gate is
// over.
func (g *gates) finish(i int32) {
	s := &g.slots[i]
	if s.foreign {
		g.sink.swallow(i)
	}
	due := s.start + g.minGate
	if due <= g.now {
		g.shut(i)
		return
	}
	g.keep(i, minGate)
	g.closings.push(closing{due: due, id: s.id, slot: i})
}

// shut closes a note now.
func (g *gates) shut(i int32) {
	g.unlink(i)
	if s := &g.slots[i]; s.ident.now == i {
		s.ident.now = none
	}
	g.sink.close(i)
	g.free(i)
}

// unlink takes a note out of every list.
func (g *gates) unlink(i int32) {
	s := &g.slots[i]
	if s.down {
		g.lift(i)
	}
	if s.keeper != nobody {
		g.keep(i, nobody)
	}
}

// advance closes the notes whose minimum gate ends at or before t.
func (g *gates) advance(t time.Duration) {
	for len(g.closings) > 0 && g.closings[0].due <= t {
		c := g.closings.pop()
		if s := &g.slots[c.slot]; s.id == c.id && s.keeper == minGate {
			g.now = c.due
			g.shut(c.slot)
		}
	}
}

// end lets every gate that is still open close at the end of the song.
func (g *gates) end(at time.Duration, stuck func(int32)) {
	g.advance(at)
	g.now = at
	open := g.gather[:0]
	for i := range g.slots {
		if s := &g.slots[i]; s.id != NoNote && s.keeper != minGate {
			open = append(open, int32(i))
		}
	}
	g.byAge(open)
	for _, i := range open {
		if g.slots[i].down {
			stuck(i)
		}
		g.slots[i].foreign = false
		g.lift(i)
		g.keep(i, nobody)
		g.finish(i)
	}
	g.gather = open
	g.advance(1<<63 - 1)
}

func (g *gates) newSlot() int32 {
	if n := len(g.unused); n > 0 {
		i := g.unused[n-1]
		g.unused = g.unused[:n-1]
		return i
	}
	g.slots = append(g.slots, slot{id: NoNote})
	g.waiting.grow()
	return g.ofKey.grow()
}

// newList returns the end of a new list of slots.
func (g *gates) newList() int32 {
	end := g.newSlot()
	g.waiting.reset(end)
	g.ofKey.reset(end)
	return end
}

func (g *gates) free(i int32) {
	g.slots[i].id = NoNote
	g.unused = append(g.unused, i)
}
