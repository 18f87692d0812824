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

	clock    *time.Duration // the time, which whoever runs the gates keeps
	next     NoteID
	slots    []slot
	waiting  links // slots whose key is up, by channel and keeper
	ofKey    links // key-down slots of one identity, for the stacking rules
	unused   []int32
	closings closings
	gather   []int32 // scratch

	byWire [128 * 16]*channel // port and channel
	zones  midi.Zones
	monos  []*mono // by part; nil for poly parts

	unmapped    int
	orphans     int
	partOrphans []int
}

// sink hears what the gates do. Slots stay valid until closed or followed.
type sink interface {
	meet(c *channel) // before anything else of that channel
	open(s int32)
	// follow: note s takes the place of note old, whose key was struck again or
	// which gives way in a mono part; legato leaves the gate high.
	follow(s, old int32, legato bool)
	// mute: a mono part's note that gets no gate, now or ever.
	mute(s int32)
	// slide: a mono part's note goes on under another key.
	slide(s int32, legato bool)
	// hold: the key is up, a pedal keeps the gate high.
	hold(s int32)
	// letGo: neither key nor pedal keeps the note; it closes when its minimum gate is over.
	letGo(s int32)
	// swallow: the note is about to close by an earlier note's off.
	swallow(s int32)
	close(s int32)
	bend(c *channel)
	pressure(c *channel)
	keyPressure(c *channel, k midi.Key, value uint8)
}

// slot is a note whose gate is open. Fields marked as the engine's mean nothing
// where gates run alone.
type slot struct {
	id       NoteID
	since    NoteID // the first note not yet there when it came to its channel
	voice    int32  // engine: its first voice; none if it has none
	ident    *identity
	mono     *mono // of a mono part, else nil
	channel  *channel
	start    time.Duration
	falls    time.Duration // when the pulse of its gate is over, where the part has such
	part     int32
	voices   int16 // engine: how many it has
	sounding int16
	key      midi.Key
	velocity uint8
	zero     bool
	down     bool   // the key is down
	carried  uint32 // press of sostenuto whose latch it took over from the note it followed; 0 for none
	foreign  bool   // its key went up by the off of an earlier note
	keeper   keeper // what keeps the gate high though the key is up
	waiting  bool   // engine: for voices
	pressed  bool   // engine: pressure is the key's, not the channel's
	pressure uint8
}

func (g *gates) init(parts []Part, minGate time.Duration, s sink, clock *time.Duration) {
	*g = gates{sink: s, clock: clock, parts: parts, minGate: minGate, partOrphans: make([]int, len(parts)),
		monos: make([]*mono, len(parts)), zones: midi.NewZones(ZonesOf(parts))}
	for i := range parts {
		if parts[i].Mode != Poly {
			g.monos[i] = &mono{mode: parts[i].Mode, gate: none}
		}
	}
}

// feed plays one step.
func (g *gates) feed(s *midi.Step) {
	g.advance(s.At)
	*g.clock = s.At
	c := g.channelOf(s.Port, s.Channel)
	switch {
	case s.Kind == midi.StepNoteOn:
		g.noteOn(c, s)
	case s.Kind == midi.StepNoteOff:
		g.noteOff(c, s.Key)
	case c.inZone:
		g.actInZone(c, s)
	default:
		g.act(c, s)
	}
}

// act lets a controller act on one channel.
func (g *gates) act(c *channel, s *midi.Step) {
	switch s.Kind {
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
	case midi.StepZone:
		g.zoneStep(c, int(s.Value))
	}
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
