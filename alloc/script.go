package alloc

import (
	"slices"
	"time"

	"choirloft/midi"
)

// Script is what keys and pedals do in a song: the same on every number of voices and
// by every rule, so it is taken down once, by [Reference], and each engine plays it.
// Several goroutines may share one.
type Script struct {
	steps   []midi.Step
	end     time.Duration
	parts   []Part
	minGate time.Duration

	acts   []act
	wheels []wheel
	keeps  []bool // by channel, as they were met: whether some part's bend moves tails
	slots  int
}

// act is a call of a sink.
type act struct {
	at       time.Duration
	slot     int32
	other    int32 // of a follow the old slot, of a bend its wheel
	channel  int16 // place in keeps
	part     int16
	sounding int16
	kind     actKind
	legato   bool
	key      midi.Key
	value    uint8 // velocity or pressure
}

type actKind uint8

const (
	actMeet actKind = iota
	actOpen
	actFollow
	actMute
	actSlide
	actHold
	actLetGo
	actClose
	actBend
	actPressure
	actKeyPressure
)

// wheel is where the bend of a channel stands, and of its zone's manager.
type wheel struct {
	bendValue, bendRange, managerValue, managerRange float64
	manager                                          int16 // place in keeps; −1
}

// write notes an act about a slot.
func (r *recorder) write(kind actKind, i int32, a act) {
	s := &r.slots[i]
	a.kind, a.at, a.slot, a.channel, a.part, a.sounding = kind, r.now, i, s.channel.place, int16(s.part), s.sounding
	a.key, a.value = s.key, s.velocity
	r.script.acts = append(r.script.acts, a)
}

// meet numbers a channel. Its zone's manager has been met.
func (r *recorder) meet(c *channel) {
	c.place = int16(len(r.script.keeps))
	r.script.keeps = append(r.script.keeps, c.keepsTails)
	r.writeWheel(actMeet, c)
}

func (r *recorder) writeWheel(kind actKind, c *channel) {
	w := wheel{bendValue: c.bendValue, bendRange: c.bendRange, manager: -1}
	if m := c.manager; m != nil {
		w.manager, w.managerValue, w.managerRange = m.place, m.bendValue, m.bendRange
	}
	r.script.acts = append(r.script.acts, act{kind: kind, at: r.now, channel: c.place, other: int32(len(r.script.wheels))})
	r.script.wheels = append(r.script.wheels, w)
}

// bend is of interest where there are notes, or channels that bend with this one.
func (r *recorder) bend(c *channel) {
	if len(c.ears) > 0 || c.inZone {
		r.writeWheel(actBend, c)
	}
}

func (r *recorder) pressure(c *channel) {
	if len(c.ears) > 0 {
		r.script.acts = append(r.script.acts, act{kind: actPressure, at: r.now, channel: c.place, value: c.pressure})
	}
}

func (r *recorder) keyPressure(c *channel, k midi.Key, value uint8) {
	if len(c.ears) > 0 {
		r.script.acts = append(r.script.acts, act{kind: actKeyPressure, at: r.now, channel: c.place, key: k, value: value})
	}
}

// Of tells whether this is the script of a song.
func (s *Script) Of(steps []midi.Step, end time.Duration) bool {
	return s != nil && s.end == end && len(s.steps) == len(steps) && (len(steps) == 0 || &s.steps[0] == &steps[0])
}

// fits tells whether the gates of an engine do what the script says.
func (s *Script) fits(g *gates) bool {
	return s.minGate == g.minGate && slices.EqualFunc(s.parts, g.parts, func(p, q Part) bool {
		return p.Keys == q.Keys && p.Velocities == q.Velocities && p.Transpose == q.Transpose && p.SameKey == q.SameKey &&
			p.BendTails == q.BendTails && p.Mode == q.Mode && p.ReattackPress == q.ReattackPress &&
			p.ReattackReturn == q.ReattackReturn && p.Pulse == q.Pulse && slices.Equal(p.Sources, q.Sources) && slices.Equal(p.Zones, q.Zones)
	})
}

// Play is Feed with every step of a song and then Finish, for an engine that has heard
// nothing. Where the script is of other parts, or notes wait for tails to end, which
// the clock of the gates goes by, it feeds the steps.
func (e *Engine) Play(s *Script, emit func(*Decision)) {
	if e.patient || !s.fits(&e.gates) {
		for i := range s.steps {
			e.Feed(&s.steps[i], emit)
		}
		e.Finish(s.end, emit)
		return
	}
	e.emit = emit
	e.slots = make([]slot, s.slots)
	channels := make([]channel, len(s.keeps))
	next := NoteID(0)
	for i := range s.acts {
		a := &s.acts[i]
		e.now = a.at
		switch a.kind {
		case actOpen:
			e.begin(a, &channels[a.channel], &next)
			e.open(a.slot)
		case actClose:
			e.close(a.slot)
		case actLetGo:
			if e.waits {
				e.letGo(a.slot)
			}
		default:
			e.act(s, a, channels, &next)
		}
	}
}

// begin makes the slot of a new note.
func (e *Engine) begin(a *act, c *channel, next *NoteID) {
	n := &e.slots[a.slot]
	n.id, n.voice, n.channel, n.part = *next, none, c, int32(a.part)
	n.sounding, n.key, n.velocity, n.pressed = a.sounding, a.key, a.value, false
	*next++
}

// act does what a rarer act says.
func (e *Engine) act(s *Script, a *act, channels []channel, next *NoteID) {
	c := &channels[a.channel]
	switch a.kind {
	case actHold:
		e.hold(a.slot)
	case actFollow:
		e.begin(a, c, next)
		e.follow(a.slot, a.other, a.legato)
	case actMute:
		e.begin(a, c, next)
		e.mute(a.slot)
	case actSlide:
		n := &e.slots[a.slot]
		n.channel, n.key, n.sounding = c, a.key, a.sounding
		e.slide(a.slot, a.legato)
	case actMeet:
		c.keepsTails = s.keeps[a.channel]
		e.meet(c)
		c.turn(&s.wheels[a.other], channels)
	case actBend:
		c.turn(&s.wheels[a.other], channels)
		e.bend(c)
	case actPressure:
		c.pressure = a.value
		e.pressure(c)
	case actKeyPressure:
		e.keyPressure(c, a.key, a.value)
	}
}

// turn sets the bend of a channel.
func (c *channel) turn(w *wheel, channels []channel) {
	c.bendValue, c.bendRange, c.manager = w.bendValue, w.bendRange, nil
	if w.manager >= 0 {
		c.manager = &channels[w.manager]
		c.manager.bendValue, c.manager.bendRange, c.manager.manager = w.managerValue, w.managerRange, nil // none yet where both just changed
	}
}
