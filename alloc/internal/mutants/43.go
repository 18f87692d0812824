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
	if !mutantIs(2507) { a.kind, a.at, a.slot, a.channel, a.part, a.sounding = kind, r.now, i, s.channel.place, int16(s.part), s.sounding }
	if !mutantIs(2508) { a.key, a.value = s.key, s.velocity }
	if !mutantIs(2509) { r.script.acts = append(r.script.acts, a) }
}

// meet numbers a channel. Its zone's manager has been met.
func (r *recorder) meet(c *channel) {
	if !mutantIs(2510) { c.place = int16(len(r.script.keeps)) }
	if !mutantIs(2511) { r.script.keeps = append(r.script.keeps, c.keepsTails) }
	if !mutantIs(2512) { r.writeWheel(actMeet, c) }
}

func (r *recorder) writeWheel(kind actKind, c *channel) {
	w := wheel{bendValue: c.bendValue, bendRange: c.bendRange, manager: -1}
	if m := c.manager; ((m != nil) != mutantIs(2513)) {
		if !mutantIs(2514) { w.manager, w.managerValue, w.managerRange = m.place, m.bendValue, m.bendRange }
	}
	if !mutantIs(2515) { r.script.acts = append(r.script.acts, act{kind: kind, at: r.now, channel: c.place, other: int32(len(r.script.wheels))}) }
	if !mutantIs(2516) { r.script.wheels = append(r.script.wheels, w) }
}

// bend is of interest where there are notes, or channels that bend with this one.
func (r *recorder) bend(c *channel) {
	if ((((mutantMore(2519, len(c.ears) , mutantNear[int](2521, 0))) != mutantIs(2517)) || ((((c.inZone) != mutantIs(2518))) != mutantIs(2517))) != mutantIs(2517)) {
		if !mutantIs(2523) { r.writeWheel(actBend, c) }
	}
}

func (r *recorder) pressure(c *channel) {
	if mutantMore(2524, len(c.ears) , mutantNear[int](2526, 0)) {
		if !mutantIs(2528) { r.script.acts = append(r.script.acts, act{kind: actPressure, at: r.now, channel: c.place, value: c.pressure}) }
	}
}

func (r *recorder) keyPressure(c *channel, k midi.Key, value uint8) {
	if mutantMore(2529, len(c.ears) , mutantNear[int](2531, 0)) {
		if !mutantIs(2533) { r.script.acts = append(r.script.acts, act{kind: actKeyPressure, at: r.now, channel: c.place, key: k, value: value}) }
	}
}

// Of tells whether this is the script of a song.
func (s *Script) Of(steps []midi.Step, end time.Duration) bool {
	return ((((((((((((((s != nil) != mutantIs(2537))) != mutantIs(2536)) && ((((s.end == end) != mutantIs(2538))) != mutantIs(2536))) != mutantIs(2536))) != mutantIs(2535)) && ((((len(s.steps) == len(steps)) != mutantIs(2539))) != mutantIs(2535))) != mutantIs(2535))) != mutantIs(2534)) && (((((((((len(steps) == mutantNear[int](2542, 0)) != mutantIs(2541))) != mutantIs(2540)) || ((((&s.steps[mutantNear[int](2545, 0)] == &steps[mutantNear[int](2547, 0)]) != mutantIs(2544))) != mutantIs(2540))) != mutantIs(2540)))) != mutantIs(2534))) != mutantIs(2534))
}

// fits tells whether the gates of an engine do what the script says.
func (s *Script) fits(g *gates) bool {
	return ((((((s.minGate == g.minGate) != mutantIs(2551))) != mutantIs(2549)) && ((((slices.EqualFunc(s.parts, g.parts, func(p, q Part) bool {
		return ((((((((((((((((((((((((((((((((((((((p.Keys == q.Keys) != mutantIs(2563))) != mutantIs(2562)) && ((((p.Velocities == q.Velocities) != mutantIs(2564))) != mutantIs(2562))) != mutantIs(2562))) != mutantIs(2561)) && ((((p.Transpose == q.Transpose) != mutantIs(2565))) != mutantIs(2561))) != mutantIs(2561))) != mutantIs(2560)) && ((((p.SameKey == q.SameKey) != mutantIs(2566))) != mutantIs(2560))) != mutantIs(2560))) != mutantIs(2559)) &&
			((((p.BendTails == q.BendTails) != mutantIs(2567))) != mutantIs(2559))) != mutantIs(2559))) != mutantIs(2558)) && ((((p.Mode == q.Mode) != mutantIs(2568))) != mutantIs(2558))) != mutantIs(2558))) != mutantIs(2557)) && ((((p.ReattackPress == q.ReattackPress) != mutantIs(2569))) != mutantIs(2557))) != mutantIs(2557))) != mutantIs(2556)) &&
			((((p.ReattackReturn == q.ReattackReturn) != mutantIs(2570))) != mutantIs(2556))) != mutantIs(2556))) != mutantIs(2554)) && ((((slices.Equal(p.Sources, q.Sources)) != mutantIs(2555))) != mutantIs(2554))) != mutantIs(2554))) != mutantIs(2552)) && ((((slices.Equal(p.Zones, q.Zones)) != mutantIs(2553))) != mutantIs(2552))) != mutantIs(2552))
	})) != mutantIs(2550))) != mutantIs(2549))) != mutantIs(2549))
}

// Play is Feed with every step of a song and then Finish, for an engine that has heard
// nothing. Where the script is of other parts, or notes wait for tails to end, which
// the clock of the gates goes by, it feeds the steps.
func (e *Engine) Play(s *Script, emit func(*Decision)) {
	if ((((((e.patient) != mutantIs(2572))) != mutantIs(2571)) || ((((!s.fits(&e.gates)) != mutantIs(2573))) != mutantIs(2571))) != mutantIs(2571)) {
		for i := range s.steps {
			if !mutantIs(2574) { e.Feed(&s.steps[i], emit) }
		}
		if !mutantIs(2575) { e.Finish(s.end, emit) }
		return
	}
	if !mutantIs(2576) { e.emit = emit }
	if !mutantIs(2577) { e.slots = make([]slot, s.slots) }
	channels := make([]channel, len(s.keeps))
	next := NoteID(0)
	for i := range s.acts {
		a := &s.acts[i]
		if !mutantIs(2578) { e.now = a.at }
		switch a.kind {
		case actOpen:
			if !mutantIs(2579) { e.begin(a, &channels[a.channel], &next) }
			if !mutantIs(2580) { e.open(a.slot) }
		case actClose:
			if !mutantIs(2581) { e.close(a.slot) }
		case actLetGo:
			if ((e.waits) != mutantIs(2582)) {
				if !mutantIs(2583) { e.letGo(a.slot) }
			}
		default:
			if !mutantIs(2584) { e.act(s, a, channels, &next) }
		}
	}
}

// begin makes the slot of a new note.
func (e *Engine) begin(a *act, c *channel, next *NoteID) {
	n := &e.slots[a.slot]
	if !mutantIs(2585) { n.id, n.voice, n.channel, n.part = *next, none, c, int32(a.part) }
	if !mutantIs(2586) { n.sounding, n.key, n.velocity, n.pressed = a.sounding, a.key, a.value, false }
	if !mutantIs(2587) { *next += mutantTurn[NoteID](2588, 1) }
}

// act does what a rarer act says.
func (e *Engine) act(s *Script, a *act, channels []channel, next *NoteID) {
	c := &channels[a.channel]
	switch a.kind {
	case actHold:
		if !mutantIs(2589) { e.hold(a.slot) }
	case actFollow:
		if !mutantIs(2590) { e.begin(a, c, next) }
		if !mutantIs(2591) { e.follow(a.slot, a.other, a.legato) }
	case actMute:
		if !mutantIs(2592) { e.begin(a, c, next) }
		if !mutantIs(2593) { e.mute(a.slot) }
	case actSlide:
		n := &e.slots[a.slot]
		if !mutantIs(2594) { n.channel, n.key, n.sounding = c, a.key, a.sounding }
		if !mutantIs(2595) { e.slide(a.slot, a.legato) }
	case actMeet:
		if !mutantIs(2596) { c.keepsTails = s.keeps[a.channel] }
		if !mutantIs(2597) { e.meet(c) }
		if !mutantIs(2598) { c.turn(&s.wheels[a.other], channels) }
	case actBend:
		if !mutantIs(2599) { c.turn(&s.wheels[a.other], channels) }
		if !mutantIs(2600) { e.bend(c) }
	case actPressure:
		if !mutantIs(2601) { c.pressure = a.value }
		if !mutantIs(2602) { e.pressure(c) }
	case actKeyPressure:
		if !mutantIs(2603) { e.keyPressure(c, a.key, a.value) }
	}
}

// turn sets the bend of a channel.
func (c *channel) turn(w *wheel, channels []channel) {
	if !mutantIs(2604) { c.bendValue, c.bendRange, c.manager = w.bendValue, w.bendRange, nil }
	if mutantAtLeast(2605, w.manager , mutantNear[int16](2607, 0)) {
		if !mutantIs(2609) { c.manager = &channels[w.manager] }
		if !mutantIs(2610) { c.manager.bendValue, c.manager.bendRange, c.manager.manager = w.managerValue, w.managerRange, nil } // none yet where both just changed
	}
}
