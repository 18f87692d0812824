package alloc

import (
	"cmp"
	"slices"
)

// grabShare grabs what a new note gets of voices that all notes share: FREE
// ones, tails, then from the notes above their share, the oldest first, each
// from its highest position. When there are more notes than voices the stealing
// rule takes one.
func (e *Engine) grabShare(p *partState, s *slot) {
	voices := 0
	for _, q := range p.pools {
		if q.allows(s.sounding) {
			voices += len(q.voices)
		}
	}
	notes := e.openNotes(p)
	share := voices / (len(notes) + 1)
	if share == 0 {
		e.grabOne(p, s)
		return
	}
	for room := e.room(p, s.sounding); room > 0 && len(e.grabbed) < share; room-- {
		i := e.silentVoice(p, s)
		if i == none {
			break
		}
		e.grabMore(p, s, i)
	}
	for n, si := range notes {
		keeps := share
		if n < voices%(len(notes)+1) {
			keeps++
		}
		for len(e.grabbed) < share && int(e.slots[si].voices) > keeps {
			i := e.highest(p, s, si)
			if i == none {
				break
			}
			e.grabMore(p, s, i)
		}
	}
	if len(e.grabbed) == 0 {
		e.grabOne(p, s)
	}
}

// grabOne grabs the one voice that the stealing rule takes: of the note it
// gives up, the highest position.
func (e *Engine) grabOne(p *partState, s *slot) {
	i := e.victim(p, s, false)
	if i == none {
		return
	}
	if j := e.highest(p, s, e.voices[i].slot); j != none {
		e.grabMore(p, s, j)
	}
}

// highest returns the voice at a note's highest position that the part may use,
// or none.
func (e *Engine) highest(p *partState, s *slot, si int32) int32 {
	best := none
	for i := e.slots[si].voice; i != none; i = e.voices[i].mate {
		if e.mayUse(p, s, i) {
			best = i
		}
	}
	return best
}

// openNotes returns the slots of the part's notes that have a voice, the oldest
// first.
func (e *Engine) openNotes(p *partState) []int32 {
	notes := e.notes[:0]
	for _, i := range p.voices {
		v := &e.voices[i]
		if v.state > Tail && &e.parts[v.part] == p && e.slots[v.slot].voice == i {
			notes = append(notes, v.slot)
		}
	}
	slices.SortFunc(notes, func(a, b int32) int { return cmp.Compare(e.slots[a].id, e.slots[b].id) })
	e.notes = notes
	return notes
}

// regrow gives the voices of a note that has ended to the oldest notes that are
// below their share.
func (e *Engine) regrow(p *partState) {
	notes := e.openNotes(p)
	for n, si := range notes {
		s := &e.slots[si]
		share := len(p.voices) / len(notes)
		if n < len(p.voices)%len(notes) {
			share++
		}
		for int(s.voices) < share && e.room(p, s.sounding) > 0 {
			i := e.lowestSilent(p, s)
			if i == none {
				break
			}
			e.grow(p, s, si, i)
		}
	}
}

func (e *Engine) lowestSilent(p *partState, s *slot) int32 {
	for _, i := range p.voices {
		if e.voices[i].state <= Tail && e.mayUse(p, s, i) {
			return i
		}
	}
	return none
}

// grow adds a voice to a note, at the position behind its last.
func (e *Engine) grow(p *partState, s *slot, si, i int32) {
	pointer := p.pointer
	e.grab(p, s, i)
	p.pointer = pointer
	last := s.voice
	for e.voices[last].mate != none {
		last = e.voices[last].mate
	}
	v := &e.voices[i]
	v.position, v.mate = e.voices[last].position+1, none
	e.voices[last].mate = i
	s.voices++
	e.sound(p, s, si, i)
	if s.keeper != nobody && s.keeper != minGate {
		e.heldToPedal(i)
	}
}
