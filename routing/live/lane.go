package live

import (
	"slices"
	"time"

	"choirloft/alloc/timing"
	"choirloft/midi"
	"choirloft/routing/deal"
)

// bendCentre is the bend that does nothing.
const bendCentre = 8192

// plainRelease is the release velocity of a note-off that means nothing.
const plainRelease = 64

// lane is what goes out to one voice.
type lane struct {
	voice int
	home  deal.Home
	plays bool // it has a home
	tune  deal.Tuner

	sounds   bool      // its gate is high
	struck   [2]uint64 // keys that it has sounded
	key      uint8
	next     time.Duration // of a glide: when it moves again
	coming   uint8         // key of the note that starts next
	velocity uint8
	pitch    float64 // where the pitch is
	moved    bool    // it is somewhere
	bend     uint16
	pressure uint8

	from, to float64 // of a glide
	began    time.Duration
	lasts    time.Duration
	glides   bool
}

// moveAll writes an edge of a voice, and for those that play along with it.
func (s *Session) moveAll(e *timing.Edge) {
	s.move(e)
	for _, voice := range s.along[e.Voice] {
		own := *e
		own.Voice = voice
		s.move(&own)
	}
}

// move writes an edge.
func (s *Session) move(e *timing.Edge) {
	l := &s.lanes[e.Voice]
	if !l.plays {
		return
	}
	switch e.Kind {
	case timing.GateLow:
		s.off(l)
	case timing.Pitch:
		if e.Starts {
			l.coming, l.velocity = uint8(deal.KeyOf(e)), max(1, min(127, e.Velocity))
		}
		s.bendTo(l, e)
	case timing.Pressure:
		if v := uint8(e.Value); v != l.pressure {
			l.pressure = v
			s.put(l.home, midi.ChannelPressure, v, 0)
		}
	case timing.GateHigh:
		s.off(l)
		l.sounds, l.key = true, l.coming
		l.struck[l.key>>6&1] |= 1 << (l.key & 63)
		s.put(l.home, midi.NoteOn, l.key, l.velocity)
	}
}

// off ends what a voice sounds.
func (s *Session) off(l *lane) {
	if l.sounds {
		l.sounds = false
		s.put(l.home, midi.NoteOff, l.key, plainRelease)
	}
}

// bendTo moves a pitch, at once or in a glide.
func (s *Session) bendTo(l *lane, e *timing.Edge) {
	if e.Glide > 0 && l.moved {
		if !l.glides {
			s.gliding = append(s.gliding, int32(l.voice))
		}
		l.glides, l.from, l.to, l.began, l.lasts, l.next = true, l.pitch, e.Value, e.At, e.Glide, e.At
		return
	}
	if l.glides {
		l.glides = false
		s.gliding = slices.DeleteFunc(s.gliding, func(v int32) bool { return v == int32(l.voice) })
	}
	l.moved = true
	s.set(l, e.Value)
}

// glide moves what glides, in steps.
func (s *Session) glide() {
	left := s.gliding[:0]
	for _, voice := range s.gliding {
		l := &s.lanes[voice]
		if l.next > s.now {
			left = append(left, voice)
			continue
		}
		since := s.now - l.began
		if since >= l.lasts {
			l.glides = false
			s.set(l, l.to)
			continue
		}
		// on the grid of steps, whenever the clock is read
		steps := since / deal.GlideStep
		s.set(l, l.from+(l.to-l.from)*float64(steps*deal.GlideStep)/float64(l.lasts))
		l.next = l.began + min((steps+1)*deal.GlideStep, l.lasts)
		left = append(left, voice)
	}
	s.gliding = left
}

// set bends a voice to a pitch.
func (s *Session) set(l *lane, pitch float64) {
	l.pitch = pitch
	v, ok := deal.BendValue(l.tune.Sent(pitch)-float64(l.coming), s.options.BendRange)
	if !ok {
		s.PastBend++
	}
	if v != l.bend {
		l.bend = v
		s.put(l.home, midi.PitchBend, uint8(v&0x7F), uint8(v>>7))
	}
}

// put appends a message to what waits for a port.
func (s *Session) put(h deal.Home, kind midi.Kind, data1, data2 uint8) {
	out := append(s.out[h.Port], uint8(kind)<<4|uint8(h.Channel), data1)
	if kind != midi.ChannelPressure {
		out = append(out, data2)
	}
	s.out[h.Port] = out
}

// Send hands over what waits for each port, in order, and forgets it. The bytes
// are the session's own until the next call of any of its methods.
func (s *Session) Send(write func(port int, data []byte)) {
	for _, port := range s.ports {
		if data := s.out[port]; len(data) > 0 {
			s.out[port] = data[:0]
			write(port, data)
		}
	}
}

// Greet tells a port what its voices need to know: gates low, the bend range, and
// where bend and pressure are. It is there at the start, and for a port that
// comes back. What that port missed nobody knows, so every key goes off that was
// ever on; a note that sounds is not struck again.
func (s *Session) Greet(port int) {
	s.out[port] = s.out[port][:0]
	s.Silence(port)
	for i := range s.lanes {
		l := &s.lanes[i]
		if !l.plays || int(l.home.Port) != port {
			continue
		}
		for key := range uint8(128) {
			if l.struck[key>>6]>>(key&63)&1 != 0 {
				s.put(l.home, midi.NoteOff, key, plainRelease)
			}
		}
		for _, c := range deal.RangeSetting(s.options.BendRange) {
			s.put(l.home, midi.ControlChange, c[0], c[1])
		}
		s.put(l.home, midi.PitchBend, uint8(l.bend&0x7F), uint8(l.bend>>7))
		s.put(l.home, midi.ChannelPressure, l.pressure, 0)
	}
}

// IsOutput tells by how bytes begin whether a session has written them to a port:
// with pedals up and all notes off, on one channel.
func IsOutput(head []byte) bool {
	if len(head) < 9 || head[0]>>4 != uint8(midi.ControlChange) {
		return false
	}
	c := head[0]
	return slices.Equal(head[:9], []byte{c, sustain, 0, c, sostenuto, 0, c, allNotesOff, 0})
}

// Silence puts every gate of a port low, now: pedals up, the note that sounds
// off, all notes off.
func (s *Session) Silence(port int) {
	for i := range s.lanes {
		l := &s.lanes[i]
		if !l.plays || int(l.home.Port) != port {
			continue
		}
		s.off(l)
		s.put(l.home, midi.ControlChange, sustain, 0)
		s.put(l.home, midi.ControlChange, sostenuto, 0)
		s.put(l.home, midi.ControlChange, allNotesOff, 0)
	}
}
