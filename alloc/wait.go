package alloc

import (
	"slices"
	"time"
)

// waitInstead puts a note in the place of the one that it supersedes, which
// then never sounds.
func (e *Engine) waitInstead(si, old int32) {
	s := &e.slots[si]
	p := &e.parts[s.part]
	e.giveUp(p, &e.slots[old])
	p.waiting[slices.Index(p.waiting, old)] = si
	s.waiting = true
	e.outer.note = NoNote
	e.deny(Defer, p, s, e.whyNone(p, s))
}

// stopWaiting drops a note whose key went up before there were voices for it.
func (e *Engine) stopWaiting(si int32) {
	s := &e.slots[si]
	p := &e.parts[s.part]
	p.waiting = slices.DeleteFunc(p.waiting, func(i int32) bool { return i == si })
	e.giveUp(p, s)
}

// giveUp drops a note that waits.
func (e *Engine) giveUp(p *partState, s *slot) {
	s.waiting = false
	e.outer.note = NoNote
	e.drop(p, s, e.whyNone(p, s))
}

// whyNone is the cause for a note that waits: its pitch, if that has been bent
// out of the window by now.
func (e *Engine) whyNone(p *partState, s *slot) Cause {
	if e.reachable(p, s) {
		return e.cause(p, s)
	}
	return CauseRange
}

// tryWaiting starts the notes that wait as soon as their rules give them all
// the voices they take, the oldest first. It is called after whatever may have
// made that so: a gate that closed, a voice that changed hands, a bend. Where
// strict round-robin has moved on by that, an older note may have its turn.
func (e *Engine) tryWaiting() {
	for started := true; started; {
		started = false
		for n := range e.parts {
			p := &e.parts[n]
			was := len(p.waiting)
			for _, q := range p.pools {
				e.expire(q)
			}
			p.waiting = slices.DeleteFunc(p.waiting, func(si int32) bool { return e.tryAgain(p, si) })
			started = started || len(p.waiting) < was
		}
	}
}

// waitOut lets the time pass to t where notes wait for tails to end.
func (e *Engine) waitOut(t time.Duration) {
	for {
		u := e.nextFade()
		if len(e.closings) > 0 && e.closings[0].due <= t && e.closings[0].due < u {
			e.advance(e.closings[0].due) // a tail begins by that
			continue
		}
		if u > t {
			return
		}
		e.now = max(e.now, u)
		e.tryWaiting()
	}
}

// nextFade returns when the next tail ends that a note waits for, or never.
func (e *Engine) nextFade() time.Duration {
	t := never
	for n := range e.parts {
		p := &e.parts[n]
		if len(p.waiting) == 0 || p.Steal != StealHardNone {
			continue
		}
		for _, q := range p.pools {
			t = min(t, e.nextFree(q))
		}
	}
	return t
}

// tryAgain starts a note that waits, if there are voices for it now.
func (e *Engine) tryAgain(p *partState, si int32) bool {
	s := &e.slots[si]
	if !e.reachable(p, s) {
		return false
	}
	e.outer.note = NoNote
	e.outerKeys(p, s)
	cause := e.cause(p, s)
	e.grabbed = e.grabbed[:0]
	if !e.grabAll(p, s) {
		return false
	}
	s.waiting = false
	e.soundAll(p, s, si, cause)
	return true
}

// grabAll grabs all the voices that a note waits for, or none.
func (e *Engine) grabAll(p *partState, s *slot) bool {
	n := p.WaitsFor()
	switch {
	case e.room(p, s.sounding) < n,
		p.strict() && !e.nextAreSilent(p, s, n),
		!p.strict() && p.Steal == StealHardNone && e.countCandidates(p, s) < n:
		return false
	}
	e.grabSilent(p, s, n)
	return len(e.grabbed) > 0
}

// countCandidates counts the voices that a note may have without stealing.
func (e *Engine) countCandidates(p *partState, s *slot) int {
	n := 0
	for _, i := range p.voices {
		v := &e.voices[i]
		if v.pool.allows(s.sounding) && (v.state == Free || v.state == Tail && p.TailsUnknown || p.onKey(s, v)) {
			n++
		}
	}
	return n
}

// onKey tells whether same-key gives a note that voice.
func (p *partState) onKey(s *slot, v *voice) bool {
	return p.Pick == PickSameKey && v.state <= Tail && v.offAt != neverUsed && v.key == s.sounding
}

// nextAreSilent tells whether strict round-robin would give a note n voices:
// those on its key under same-key, and for the rest the next ones, none of
// which may sound.
func (e *Engine) nextAreSilent(p *partState, s *slot, n int) bool {
	at, last := p.pointer, none
	for _, i := range p.voices {
		if v := &e.voices[i]; v.pool.allows(s.sounding) && p.onKey(s, v) {
			n--
			if last == none || e.newerThan(last, i) {
				at, last = i, i
			}
		}
	}
	first, _ := slices.BinarySearch(p.voices, at+1)
	for k := 0; k < len(p.voices) && n > 0; k++ {
		v := &e.voices[p.voices[(first+k)%len(p.voices)]]
		if !v.pool.allows(s.sounding) || p.onKey(s, v) {
			continue
		}
		if v.state > Tail {
			return false
		}
		n--
	}
	return n <= 0
}

// eachWaiting visits the notes of a channel that wait.
func (e *Engine) eachWaiting(c *channel, visit func(*slot)) {
	if !e.waits {
		return
	}
	for n := range e.parts {
		for _, si := range e.parts[n].waiting {
			if s := &e.slots[si]; s.channel == c {
				visit(s)
			}
		}
	}
}
