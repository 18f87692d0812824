package opinion

import (
	"encoding/binary"
	"sort"
	"time"
)

type kind int

const (
	on kind = iota
	off
	control
	rezone
)

type event struct {
	tick          int
	at            time.Duration
	port, channel int
	kind          kind
	number, value int  // key and velocity, or controller and value
	zero          bool // an on whose off stands right behind it
	layout        layout
	copyOf        int // of a manager's message: which one, from 1
}

func (e event) key() ident       { return ident{e.port, e.channel, e.number} }
func (e event) line() [2]int     { return [2]int{e.port, e.channel} }
func (k ident) line() [2]int     { return [2]int{k.port, k.channel} }
func (n *Note) key() ident       { return ident{n.Port, n.Channel, n.Key} }
func (n *Note) line() [2]int     { return n.key().line() }
func (e event) clearsKeys() bool { return e.kind == control && clears[e.number] }

// clears are the mode messages after which no key counts as down: all sound off,
// all notes off, and the four that change the mode, which are all notes off too
// (MIDI 1.0, channel mode messages). Reading: whatever their value is.
var clears = map[int]bool{120: true, 123: true, 124: true, 125: true, 126: true, 127: true}

type ident struct{ port, channel, key int }

type file struct {
	events []event // by tick; at one tick by track, then as they stand in it
	end    time.Duration
}

type tempo struct{ tick, micros int }

// read takes a file of format 0 or 1 apart. It walks the chunks by their
// lengths, passes over those that are neither header nor track, and gives every
// event the tick it is due at (RP-001).
func read(b []byte) file {
	division := int(binary.BigEndian.Uint16(b[12:]))
	var events []event
	var tempos []tempo
	last := 0
	for at := 8 + int(binary.BigEndian.Uint32(b[4:])); at < len(b); {
		body := b[at+8 : at+8+int(binary.BigEndian.Uint32(b[at+4:]))]
		if string(b[at:at+4]) == "MTrk" {
			t := track{b: body}
			t.read()
			events = append(events, t.events...)
			tempos = append(tempos, t.tempos...)
			last = max(last, t.tick)
		}
		at += 8 + len(body)
	}
	sort.SliceStable(events, func(i, j int) bool { return events[i].tick < events[j].tick })
	// Reading: a tempo counts in whichever track it stands, and of several at one
	// tick the last.
	sort.SliceStable(tempos, func(i, j int) bool { return tempos[i].tick < tempos[j].tick })
	for i := range events {
		events[i].at = instant(events[i].tick, division, tempos)
	}
	// Reading: the song ends where its longest track does, at the end-of-track
	// event and not at the last note.
	return file{events, instant(last, division, tempos)}
}

type track struct {
	b      []byte
	tick   int
	status byte
	port   int // FF 21; it holds from where it stands. Reading: 0 without one.
	events []event
	tempos []tempo
	ended  bool
}

func (t *track) byte() byte {
	c := t.b[0]
	t.b = t.b[1:]
	return c
}

func (t *track) number() int {
	n := 0
	for {
		c := t.byte()
		n = n<<7 | int(c&0x7F)
		if c < 0x80 {
			return n
		}
	}
}

func (t *track) read() {
	// Reading: a track that stops without FF 2F ends with its last event.
	for len(t.b) > 0 && !t.ended {
		t.tick += t.number()
		switch t.b[0] {
		case 0xFF:
			t.byte()
			t.meta(t.byte(), t.data())
		case 0xF0, 0xF7:
			t.byte()
			t.data()
		default:
			t.message()
		}
	}
}

func (t *track) data() []byte {
	n := t.number()
	d := t.b[:n]
	t.b = t.b[n:]
	return d
}

func (t *track) meta(kind byte, d []byte) {
	switch kind {
	case 0x2F:
		t.ended = true
	case 0x51:
		// Reading: at a tempo of 0 no time would pass; it is no tempo.
		if micros := int(d[0])<<16 | int(d[1])<<8 | int(d[2]); micros > 0 {
			t.tempos = append(t.tempos, tempo{t.tick, micros})
		}
	case 0x21:
		t.port = int(d[0])
	}
}

// message reads a channel message. Reading: running status goes on after meta
// and system exclusive events, which the standard forbids to writers.
func (t *track) message() {
	if t.b[0] >= 0x80 {
		t.status = t.byte()
	}
	high := t.status >> 4
	e := event{tick: t.tick, port: t.port, channel: int(t.status & 15), number: int(t.byte())}
	if high == 0xC || high == 0xD {
		return
	}
	e.value = int(t.byte())
	switch {
	case high == 8 || high == 9 && e.value == 0:
		e.kind = off
	case high == 9:
		e.kind = on
	case high == 0xB:
		e.kind = control
	default:
		return
	}
	t.events = append(t.events, e)
}

// instant is the time of a tick, to the nearest nanosecond: so many ticks a
// quarter under each tempo in turn, 500 000 µs before the first; or frames a
// second times ticks a frame, which no tempo changes (RP-001). Minus 29 is 30
// frames with drop: 30 000 frames in 1001 seconds.
func instant(tick, division int, tempos []tempo) time.Duration {
	if division >= 0x8000 {
		frames, seconds := 256-division>>8, 1
		if frames == 29 {
			frames, seconds = 30000, 1001
		}
		return nearest(tick*seconds*1e9, frames*(division&0xFF))
	}
	sum, from, micros := 0, 0, 500000
	for _, t := range tempos {
		if t.tick > tick {
			break
		}
		sum += (t.tick - from) * micros
		from, micros = t.tick, t.micros
	}
	return nearest((sum+(tick-from)*micros)*1000, division)
}

func nearest(a, b int) time.Duration { return time.Duration((2*a + b) / (2 * b)) }
