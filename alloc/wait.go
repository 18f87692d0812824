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
	e.drop(p, s, e.unisonCause(p, s))
}

// afterClose lets what has waited for voices have those of a note that ended.
func (e *Engine) afterClose(ended *slot) {
	if p := &e.parts[ended.part]; p.Unison.WhenShort == Elastic && p.Unison.Regrow && p.Unison.Voices > 1 {
		e.regrow(p)
	}
	for n := range e.parts {
		p := &e.parts[n]
		for len(p.waiting) > 0 {
			si := p.waiting[0]
			s := &e.slots[si]
			if e.room(p, s.sounding) < p.Unison.Voices {
				break
			}
			p.waiting = slices.Delete(p.waiting, 0, 1)
			e.open(si)
		}
	}
}
