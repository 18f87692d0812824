package alloc

func (e *Engine) open(si int32) {
	e.place(si)
	if e.waits {
		e.tryWaiting()
	}
}

// place finds a note its voices.
func (e *Engine) place(si int32) {
	s := &e.slots[si]
	p := &e.parts[s.part]
	s.waiting = false
	silent := 0
	for _, q := range p.pools {
		e.expire(q)
		silent += q.candidates(p.TailsUnknown)
	}
	mayTakeFree := true
	if p.special {
		e.leaveTails(p, s.channel)
		if !e.reachable(p, s) {
			e.drop(p, s, CauseRange)
			return
		}
		if p.Unison.Several() {
			e.openUnison(p, s, si)
			return
		}
		mayTakeFree = e.room(p, s.sounding) > 0 || !p.shares()
	}
	i := none
	if mayTakeFree && (silent > 0 || p.looksBeyond) {
		i = e.choose(p, s)
	}
	switch {
	case i == none:
		i = e.victim(p, s, mayTakeFree)
	case e.voices[i].state > Tail && !e.strictTakes(p, s, i):
		i = none
	}
	if i == none {
		e.drop(p, s, e.cause(p, s))
		return
	}
	e.take(p, s, si, i)
}

// strict tells whether the part takes the next voice whatever it does.
func (p *partState) strict() bool {
	return p.Pick == PickStrictRoundRobin || p.Pick == PickSameKey && p.Second == PickStrictRoundRobin
}

// strictTakes tells whether strict round-robin takes voice i, which sounds.
func (e *Engine) strictTakes(p *partState, s *slot, i int32) bool {
	return e.mayStealFrom(p, i) && !(e.samePriority(p, i) && e.givesUp(p, s, i))
}

func (e *Engine) drop(p *partState, s *slot, cause Cause) { e.deny(Drop, p, s, cause) }

// deny says that a note has no voice: never, or not yet.
func (e *Engine) deny(kind DecisionKind, p *partState, s *slot, cause Cause) {
	low, high := e.outerKeys(p, s)
	e.decision = Decision{At: e.now, Kind: kind, Cause: cause, Note: s.id, Cut: NoNote, Voice: none,
		Part: s.part, CutPart: int32(NoNote), Key: s.sounding, Velocity: s.velocity,
		Outer: s.sounding == low || s.sounding == high}
	e.emit(&e.decision)
}

// take gives a note its one voice.
func (e *Engine) take(p *partState, s *slot, si, i int32) {
	e.grab(p, s, i)
	s.voice, s.voices = i, 1
	e.voices[i].mate, e.voices[i].position = none, 0
	e.sound(p, s, si, i)
}

// grab takes a voice out of its old state for a note. The decision about it is
// begun; [Engine.sound] ends it.
func (e *Engine) grab(p *partState, s *slot, i int32) *Decision {
	v := &e.voices[i]
	d := e.decide(Take, s, i)
	d.CutDB = e.levelAgain(v)
	switch v.state {
	case Free:
		e.leaveFree(i)
		e.leaveIdle(v.pool, i)
	case Tail:
		d.Cut, d.CutPart, d.Cause = v.note, v.part, CauseTail
		e.leaveTail(i)
		e.leaveIdle(v.pool, i)
	default:
		low, high := e.outerKeys(p, s)
		d.Cut, d.CutPart, d.Cause = v.note, v.part, e.cause(p, s)
		d.Outer = v.key == low || v.key == high
		d.CutLeft = e.detach(i)
		e.leaveOpen(i)
	}
	v.state = taken
	p.pointer = i
	return d
}

// detach takes a voice from the note that holds it and returns how many the
// note keeps.
func (e *Engine) detach(i int32) int16 {
	v := &e.voices[i]
	s := &e.slots[v.slot]
	s.voices--
	if s.voice == i {
		s.voice = v.mate
		return s.voices
	}
	at := s.voice
	for e.voices[at].mate != i {
		at = e.voices[at].mate
	}
	e.voices[at].mate = v.mate
	return s.voices
}

// sound starts a note on a voice that has left its old state, with an attack,
// and emits the decision about it.
func (e *Engine) sound(p *partState, s *slot, si, i int32) {
	v := &e.voices[i]
	v.attackAt, v.fullAt = e.now, -1
	e.play(p, s, si, i)
}

// play puts a note on a voice, whatever its envelope does.
func (e *Engine) play(p *partState, s *slot, si, i int32) {
	v := &e.voices[i]
	v.note, v.slot, v.part, v.channel = s.id, si, s.part, s.channel
	v.key, v.velocity = s.sounding, s.velocity
	e.enterHeld(i, p.shelf)
	d := &e.decision
	d.Position, d.Of, d.Glide = v.position, s.voices, p.Glide
	e.pitch(s, i)
	e.emit(d)
}

func (e *Engine) follow(si, old int32, legato bool) {
	s, o := &e.slots[si], &e.slots[old]
	e.leaveTails(&e.parts[s.part], s.channel)
	if o.voice == none {
		s.waiting = false
		if o.waiting {
			e.waitInstead(si, old)
			e.tryWaiting()
		} else {
			e.open(si)
		}
		return
	}
	s.voice, s.voices, s.waiting = o.voice, o.voices, false
	e.carryOn(s, si, o.id, legato)
	if e.waits {
		e.tryWaiting()
	}
}

// mute: a key that does not sound uses its channel all the same.
func (e *Engine) mute(si int32) {
	s := &e.slots[si]
	e.leaveTails(&e.parts[s.part], s.channel)
}

func (e *Engine) slide(si int32, legato bool) {
	s := &e.slots[si]
	s.pressed = false
	e.carryOn(s, si, NoNote, legato)
	if e.waits {
		e.tryWaiting()
	}
}

// carryOn lets the voices of a note go on: under a new note, a new key or both.
func (e *Engine) carryOn(s *slot, si int32, cut NoteID, legato bool) {
	p := &e.parts[s.part]
	for i := s.voice; i != none; i = e.voices[i].mate {
		v := &e.voices[i]
		d := e.decide(Reattack, s, i)
		if legato {
			d.Kind, d.CutDB = Slide, e.levelDB(v)
		} else {
			d.CutDB = e.levelAgain(v)
		}
		if d.Cut = cut; cut != NoNote {
			d.CutPart = s.part
		}
		e.leaveOpen(i)
		if legato {
			e.play(p, s, si, i)
			continue
		}
		p.pointer = i
		e.sound(p, s, si, i)
	}
}

func (e *Engine) hold(si int32) {
	s := &e.slots[si]
	if s.waiting {
		e.stopWaiting(si)
		return
	}
	for i := s.voice; i != none; i = e.voices[i].mate {
		d := e.decide(Hold, s, i)
		d.Position, d.Of = e.voices[i].position, s.voices
		e.heldToPedal(i, e.parts[s.part].shelf)
		e.emit(d)
	}
}

func (e *Engine) letGo(si int32) {
	if e.slots[si].waiting {
		e.stopWaiting(si)
	}
}

func (e *Engine) swallow(int32) {}

func (e *Engine) close(si int32) {
	s := &e.slots[si]
	if s.waiting {
		e.stopWaiting(si)
		return
	}
	e.released = e.released[:0]
	for i := s.voice; i != none; {
		next := e.voices[i].mate
		e.release(s, i)
		e.released = append(e.released, i)
		i = next
	}
	if p := &e.parts[s.part]; e.regrows && p.Unison.WhenShort == Elastic && p.Unison.Regrow && p.Unison.Voices > 1 {
		e.regrow(p)
	}
	if e.waits {
		e.tryWaiting()
	}
}

// release lets the gate of one voice of a note go low.
func (e *Engine) release(s *slot, i int32) {
	v := &e.voices[i]
	d := e.decide(Release, s, i)
	d.Position, d.Of = v.position, s.voices
	d.CutDB = e.levelDB(v)
	e.leaveOpen(i)
	v.slot = none
	e.startTail(v, d.CutDB)
	if v.freeAt > e.now {
		e.enterTail(i)
		if v.channel.keepsTails && e.parts[v.part].BendTails {
			e.followBend(i)
		}
	} else {
		e.enterFree(i)
	}
	e.enterIdle(v.pool, i)
	e.emit(d)
}
