package alloc

import "slices"

// waitInstead puts a note in the place of the one that it supersedes.
func (e *Engine) waitInstead(si, old int32) {
	p := &e.parts[e.slots[si].part]
	p.waiting[slices.Index(p.waiting, old)] = si
	e.slots[si].waiting = true
}

// stopWaiting drops a note whose key went up before there were voices for it.
func (e *Engine) stopWaiting(si int32) {
	s := &e.slots[si]
	p := &e.parts[s.part]
	s.waiting = false
	e.outer.note = NoNote
	p.waiting = slices.DeleteFunc(p.waiting, func(i int32) bool { return i == si })
	e.drop(p, s, e.cause(p, s))
}

// afterClose lets what has waited for voices have those of a note that ended,
// the oldest note first.
func (e *Engine) afterClose(ended *slot) {
	if p := &e.parts[ended.part]; p.Unison.WhenShort == Elastic && p.Unison.Regrow && p.Unison.Voices > 1 {
		e.regrow(p)
	}
	for n := range e.parts {
		p := &e.parts[n]
		p.waiting = slices.DeleteFunc(p.waiting, func(si int32) bool { return e.tryAgain(p, si) })
	}
}

// tryAgain starts a note that waits, if there are voices for it now.
func (e *Engine) tryAgain(p *partState, si int32) bool {
	s := &e.slots[si]
	if !e.reachable(p, s) {
		return false
	}
	for _, q := range p.pools {
		e.expire(q)
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

// eachWaiting visits the notes of a channel that wait.
func (e *Engine) eachWaiting(c *channel, visit func(*slot)) {
	if !e.sharing {
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
