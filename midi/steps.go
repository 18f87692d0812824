package midi

import "time"

// The controllers that are a step of their own (MIDI 1.0, table III).
const (
	ctlSustain   = 64
	ctlSostenuto = 66
	ctlSoundOff  = 120
	ctlReset     = 121
	ctlNotesOff  = 123 // up to 127: the mode messages turn notes off too
)

// plainRelease is the release velocity of a note-off that is written as a
// note-on of velocity 0 (MIDI 1.0, "Note Off"; from memory).
const plainRelease = 64

// Steps returns the song as a performance: its events in the order in which
// they act, each at its time. Same instant means same tick. There,
// everything but note-ons comes first, then the note-ons, both in the order of
// the file, with one exception: of a key's note-offs (key on a channel of a
// port) as many as there were notes open before the instant come first, and
// each further one ends the latest note-on of the key that it follows in the
// file and that has not ended yet. That note has no length; its note-off moves
// right behind it, and both are marked Zero. A note-off with nothing to end,
// begun before the instant or at it, is an orphan and keeps its place among
// the first.
//
// A mode message (controllers 120 and 123 to 127) ends what is open on its
// channel: no note-off behind it in the file finds a note there that began
// before the instant. It is one of the first, so it acts before every note-on of
// its instant and ends none of them, wherever in the file it stands: such a note
// is ended by its own note-off. On the manager of a zone of per-note channels it
// does the same on every member. The zones are those that are given, as whoever
// plays the song has them, until the song sets others by RPN 6.
//
// With Order.File everything stays in the order of the file, whatever
// Order.Chord says; notes without length are found and marked in the same way,
// but other events of the instant may stand between a note and its end. A mode
// message then also ends what began before it at its instant: notes without
// length, marked Zero, and a note-off behind it is not theirs.
//
// Program changes, controllers that select a parameter or enter its data, and
// whatever a registered parameter other than 0 and 6 is set to have no step.
func (s *Song) Steps(o Order, zones ...Zone) []Step {
	p := performer{
		steps:  make([]Step, 0, len(s.Events)),
		cursor: s.Tempo.Cursor(),
		order:  o,
		zones:  NewZones(zones),
	}
	events := s.Events
	for len(events) > 0 {
		n := 1
		for n < len(events) && events[n].Tick == events[0].Tick {
			n++
		}
		p.instant(events[:n])
		events = events[n:]
	}
	return p.steps
}

// performer turns events into steps, an instant at a time.
type performer struct {
	steps  []Step
	cursor *TempoCursor
	order  Order
	zones  Zones
	ports  [128]*portState
	pairs  []pair
	chord  []int32
}

// portState is what has to be known about a port: notes and parameters.
type portState [16]struct {
	keys       [128]keyState
	parameters Parameters
	setup      Parameters // ahead of the steps: an instant is matched before any of it acts
}

// keyState counts the open notes of a key: note-ons less note-offs in the file,
// since the last mode message.
type keyState struct {
	open   int32
	before int32 // of those open before the instant, the ones not ended at it
	latest int32 // latest unended note-on of the instant, as an index plus 1
	tick   Tick  // the instant before and latest are about, plus 1
}

// pair links the events of an instant, by index plus 1; 0 is none.
type pair struct {
	other   int32 // what ends a note-on without length; of its note-off, the note-on
	earlier int32 // of an unended note-on, the one of its key before it
}

func (p *performer) port(n Port) *portState {
	if p.ports[n&127] == nil {
		p.ports[n&127] = new(portState)
	}
	return p.ports[n&127]
}

// isOn tells whether an event begins a note.
func isOn(e Event) bool { return e.Kind() == NoteOn && e.Data2 > 0 }

// isOff tells whether an event ends a note.
func isOff(e Event) bool { return e.Kind() == NoteOff || e.Kind() == NoteOn && e.Data2 == 0 }

// isMode tells whether an event turns off the notes of its channel.
func isMode(e Event) bool {
	return e.Kind() == ControlChange && (e.Data1 == ctlSoundOff || e.Data1 >= ctlNotesOff)
}

// instant appends the steps of the events at one tick.
func (p *performer) instant(events []Event) {
	at := p.cursor.At(events[0].Tick)
	p.match(events)
	if p.order.File || len(events) == 1 {
		for i := range events {
			p.emit(&events[i], at, p.pairs[i].other != 0)
		}
		return
	}
	p.chord = p.chord[:0]
	for i, e := range events {
		switch {
		case isOn(e):
			p.chord = append(p.chord, int32(i))
		case p.pairs[i].other == 0:
			p.emit(&events[i], at, false)
		}
	}
	p.order.Chord.sort(p.chord, events)
	for _, i := range p.chord {
		off := p.pairs[i].other
		p.emit(&events[i], at, off != 0)
		if off != 0 {
			p.emit(&events[off-1], at, true)
		}
	}
}

// match counts the notes of an instant and finds those without length.
func (p *performer) match(events []Event) {
	p.pairs = append(p.pairs[:0], make([]pair, len(events))...)
	for i, e := range events {
		switch {
		case isOn(e):
			k := p.key(e)
			p.pairs[i].earlier = k.latest
			k.latest = int32(i) + 1
			k.open++
		case isOff(e):
			p.off(int32(i)+1, p.key(e))
		case isMode(e):
			p.mode(int32(i)+1, e)
		case len(p.zones.begin) > 0 && e.Kind() == ControlChange:
			p.setZone(e)
		}
	}
}

// key returns the state of an event's key at its instant.
func (p *performer) key(e Event) *keyState {
	k := &p.port(e.Port)[e.Channel()].keys[e.Data1&127]
	if k.tick != e.Tick+1 {
		k.tick, k.before, k.latest = e.Tick+1, k.open, 0
	}
	return k
}

// off lets a note-off end what is open on its key.
func (p *performer) off(off int32, k *keyState) {
	switch {
	case k.before > 0:
		k.before--
		k.open--
	case k.latest > 0:
		begun := &p.pairs[k.latest-1]
		p.pairs[off-1].other, begun.other = k.latest, off
		k.latest = begun.earlier
		k.open--
	}
}

// mode lets a mode message end what is open by then, on its channel and, if
// that manages a zone, on the members.
func (p *performer) mode(mode int32, e Event) {
	port, c := p.port(e.Port), e.Channel()
	p.clear(mode, e.Tick, &port[c].keys)
	for first, end := p.zones.On(e.Port).Members(c); first < end; first++ {
		p.clear(mode, e.Tick, &port[first].keys)
	}
}

// setZone lets a control change set a zone.
func (p *performer) setZone(e Event) {
	kind, members, ok := p.port(e.Port)[e.Channel()].setup.Control(e.Data1, e.Data2)
	if ok && kind == StepZone {
		p.zones.Set(e.Port, e.Channel(), int(members))
	}
}

// clear lets a mode message end what is open on keys.
func (p *performer) clear(mode int32, tick Tick, keys *[128]keyState) {
	for n := range keys {
		k := &keys[n]
		if k.tick != tick+1 {
			k.open = 0
			continue
		}
		k.open, k.before = k.open-k.before, 0
		for p.order.File && k.latest > 0 {
			begun := &p.pairs[k.latest-1]
			begun.other, k.latest = mode, begun.earlier
			k.open--
		}
	}
}

// emit appends the step of an event, if it has one. There is room: no event
// has more than one.
func (p *performer) emit(e *Event, at time.Duration, zero bool) {
	n := len(p.steps)
	p.steps = p.steps[:n+1]
	s := &p.steps[n]
	s.At, s.Tick, s.Port, s.Channel, s.Zero = at, e.Tick, e.Port, e.Channel(), zero
	switch e.Kind() {
	case NoteOn, NoteOff:
		s.note(e)
	case KeyPressure:
		s.Kind, s.Key, s.Value = StepKeyPressure, Key(e.Data1), uint16(e.Data2)
	case ChannelPressure:
		s.Kind, s.Value = StepChannelPressure, uint16(e.Data1)
	case PitchBend:
		s.Kind, s.Value = StepBend, uint16(e.Data2)<<7|uint16(e.Data1)
	case ControlChange:
		if s.control(e.Data1, e.Data2, &p.port(e.Port)[s.Channel].parameters) {
			return
		}
		fallthrough
	default:
		*s = Step{}
		p.steps = p.steps[:n]
	}
}

func (s *Step) note(e *Event) {
	s.Key, s.Value = Key(e.Data1), uint16(e.Data2)
	switch {
	case e.Kind() == NoteOff:
		s.Kind = StepNoteOff
	case e.Data2 == 0:
		s.Kind, s.Value = StepNoteOff, plainRelease
	default:
		s.Kind = StepNoteOn
	}
}

// control makes the step of a control change and tells whether there is one.
func (s *Step) control(number, value uint8, p *Parameters) bool {
	kind, result, ok := p.Control(number, value)
	if SelectsParameter(number) {
		s.Kind, s.Value = kind, result
		return ok
	}
	s.Value = uint16(value)
	switch {
	case number == ctlSustain:
		s.Kind = StepSustain
	case number == ctlSostenuto:
		s.Kind = StepSostenuto
	case number == ctlSoundOff:
		s.Kind = StepSoundOff
	case number == ctlReset:
		s.Kind = StepReset
	case number >= ctlNotesOff:
		s.Kind = StepNotesOff
	default:
		s.Kind, s.Key = StepControl, Key(number)
	}
	return true
}
