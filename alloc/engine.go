package alloc

import (
	"time"

	"choirloft/midi"
)

// Engine decides which voice plays which note. Make one with [New]; it is not
// safe for use by several goroutines.
type Engine struct {
	gates
	rack      []Voice
	windows   []Window // by voice
	voices    []voice
	envelopes []Envelope
	fullFades []float64 // by envelope: how long a tail from full lasts, nanoseconds
	freeDB    float64
	pools     []*pool
	parts     []partState
	shelves   []shelfKind // the lowest priority first
	shares    [][]share   // by bank of the rack
	ends      []time.Duration
	emit      func(*Decision)
	decision  Decision // see decide

	inAttack, inIdle, inTail, inLast, inQuiet, inChannel links
}

// Foresee gives the engine the end of every note's reference interval, by
// NoteID, as the stealing rules fewest-cuts and least-lost need it. It must be
// called before the first event; the slice is only read.
func (e *Engine) Foresee(ends []time.Duration) { e.ends = ends }

// Feed plays one step and emits what is decided by it, and before it what has
// become due since the last. Steps must come in the order of time. A decision
// is the engine's own until emit returns: copy it to keep it.
func (e *Engine) Feed(s midi.Step, emit func(*Decision)) {
	e.emit = emit
	e.feed(&s)
}

// Advance lets the time pass to t and emits what becomes due.
func (e *Engine) Advance(t time.Duration, emit func(*Decision)) {
	e.emit = emit
	e.advance(t)
	e.now = max(e.now, t)
	for _, p := range e.pools {
		e.expire(p)
	}
}

// Finish ends the song at the given time: every gate that is still high goes
// low, no earlier than its minimum gate allows.
func (e *Engine) Finish(at time.Duration, emit func(*Decision)) {
	e.emit = emit
	e.end(at, func(int32) {})
}

// Next returns when something will happen without a further event: a minimum
// gate that ends, or a tail that reaches the free level. It may lie in the past
// if a tail ended since the last event; [Engine.Advance] moves on.
func (e *Engine) Next() (t time.Duration, ok bool) {
	if len(e.closings) > 0 {
		t, ok = e.closings[0].due, true
	}
	for _, p := range e.pools {
		if u, some := e.nextFree(p); some && (!ok || u < t) {
			t, ok = u, true
		}
	}
	return t, ok
}

// State returns what a voice (index) is doing at the time of the last event.
func (e *Engine) State(voice int) State {
	v := &e.voices[voice]
	if v.state == Tail && v.freeAt <= e.now {
		return Free
	}
	return v.state
}

// Unmapped returns how many note-ons no part took.
func (e *Engine) Unmapped() int { return e.unmapped }

func (e *Engine) open(si int32) {
	s := &e.slots[si]
	p := &e.parts[s.part]
	for _, q := range p.pools {
		e.expire(q)
	}
	if p.OutOfRange == DropNote && !p.reaches(float64(s.sounding)+e.bendOf(s)) {
		e.drop(p, s, CauseRange)
		return
	}
	i := none
	mayTakeFree := p.Reserve == 0 && p.Limit == 0 && len(p.rivals) == 0 || e.room(p, s.sounding) > 0
	if mayTakeFree {
		i = e.choose(p, s)
	}
	switch {
	case i == none:
		i = e.victim(p, s, mayTakeFree)
	case e.voices[i].state > Tail && !e.strictTakes(p, s, i):
		i = none
	}
	if i == none {
		e.drop(p, s, e.cause(p, s.sounding))
		return
	}
	e.take(p, s, si, i)
}

// strictTakes tells whether strict round-robin takes voice i, which sounds.
func (e *Engine) strictTakes(p *partState, s *slot, i int32) bool {
	return e.mayStealFrom(p, i) && !(e.samePriority(p, i) && e.givesUp(p, s, i))
}

// cause says why a note must do without a free voice.
func (e *Engine) cause(p *partState, key int16) Cause {
	held, pedal, voices := 1, 0, 0
	for _, q := range p.pools {
		held += q.held
		pedal += q.pedal
		if q.allows(key) {
			voices += len(q.voices)
		}
	}
	switch {
	case held > voices:
		return CauseShortage
	case held+pedal > voices:
		return CausePedal
	}
	return CauseRule
}

func (e *Engine) drop(p *partState, s *slot, cause Cause) {
	low, high := e.outerKeys(p, s.sounding)
	e.decision = Decision{At: e.now, Kind: Drop, Cause: cause, Note: s.id, Cut: NoNote, Voice: none,
		Part: s.part, CutPart: int32(NoNote), Key: s.sounding, Velocity: s.velocity,
		Outer: s.sounding == low || s.sounding == high}
	e.emit(&e.decision)
}

func (e *Engine) take(p *partState, s *slot, si, i int32) {
	v := &e.voices[i]
	d := e.decide(Take, s, i)
	d.CutDB = e.levelDB(v)
	switch v.state {
	case Free:
		e.leaveFree(i)
		e.leaveIdle(v.pool, i)
	case Tail:
		d.Cut, d.CutPart, d.Cause = v.note, v.part, CauseTail
		e.leaveTail(i)
		e.leaveIdle(v.pool, i)
	default:
		low, high := e.outerKeys(p, s.sounding)
		d.Cut, d.CutPart, d.Cause = v.note, v.part, e.cause(p, s.sounding)
		d.Outer = v.key == low || v.key == high
		e.slots[v.slot].voice = none
		e.leaveOpen(i)
	}
	e.sound(p, s, si, i)
}

// sound starts a note on a voice that has left its old state, and emits the
// decision about it.
func (e *Engine) sound(p *partState, s *slot, si, i int32) {
	v := &e.voices[i]
	v.attackAt, v.startDB, v.fullAt = e.now, e.decision.CutDB, -1
	v.note, v.slot, v.part, v.channel = s.id, si, s.part, s.channel
	v.key, v.velocity, v.state = s.sounding, s.velocity, Held
	s.voice = i
	p.pointer = i
	e.enterOpen(i)
	e.pitch(s, i)
	e.emit(&e.decision)
}

func (e *Engine) follow(si, old int32) {
	s, o := &e.slots[si], &e.slots[old]
	i := o.voice
	if i == none {
		e.open(si)
		return
	}
	d := e.decide(Reattack, s, i)
	d.Cut, d.CutPart, d.CutDB = o.id, o.part, e.levelDB(&e.voices[i])
	e.leaveOpen(i)
	e.sound(&e.parts[s.part], s, si, i)
}

func (e *Engine) hold(si int32) {
	s := &e.slots[si]
	if s.voice == none {
		return
	}
	e.heldToPedal(s.voice)
	e.decide(Hold, s, s.voice).Was = Held
	e.emit(&e.decision)
}

func (e *Engine) swallow(int32) {}

func (e *Engine) close(si int32) {
	s := &e.slots[si]
	i := s.voice
	if i == none {
		return
	}
	v := &e.voices[i]
	d := e.decide(Release, s, i)
	d.CutDB = e.levelDB(v)
	e.leaveOpen(i)
	v.slot = none
	e.startTail(v, d.CutDB)
	if v.freeAt > e.now {
		e.enterTail(i)
	} else {
		e.enterFree(i)
	}
	e.enterIdle(v.pool, i)
	e.emit(&e.decision)
}

// decide starts a decision about a note and a voice. There is one decision at
// a time, kept in the engine so that making it takes no memory.
func (e *Engine) decide(kind DecisionKind, s *slot, i int32) *Decision {
	v := &e.voices[i]
	d := &e.decision
	d.At, d.Kind, d.Cause, d.Was, d.Outer = e.now, kind, CauseNone, v.state, false
	d.Note, d.Cut, d.Voice, d.Part, d.CutPart = s.id, NoNote, i, s.part, int32(NoNote)
	d.Key, d.CutKey, d.Velocity, d.Pressure = s.sounding, v.key, s.velocity, 0
	d.CutDB, d.Pitch, d.Missed = 0, 0, 0
	return d
}
