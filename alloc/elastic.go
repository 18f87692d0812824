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
	notes := e.openNotes(p)
	share := p.share(s, len(notes), len(notes)+1)
	e.grabSilent(p, s, share)
	for age, si := range notes {
		keeps := p.share(s, age, len(notes)+1)
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

// grabOne grabs one voice as a note without unison would: a candidate, or what
// the stealing rule gives up; of a note that is the voice at its highest
// position. Where classes are mixed a tail has to compete for that too.
func (e *Engine) grabOne(p *partState, s *slot) {
	i, tails := none, e.room(p, s.sounding) > 0
	if tails {
		i = e.choose(p, s)
	}
	if i == none || e.voices[i].state > Tail {
		i = e.victim(p, s, tails)
	}
	if i != none && e.voices[i].state > Tail {
		i = e.highest(p, s, e.voices[i].slot)
	}
	if i != none {
		e.grabMore(p, s, i)
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
// below their new share, the lowest voice first.
func (e *Engine) regrow(p *partState) {
	slices.Sort(e.released)
	notes := e.openNotes(p)
	for _, i := range e.released {
		for age, si := range notes {
			s := &e.slots[si]
			if e.reachable(p, s) && e.mayUse(p, s, i) && int(s.voices) < p.share(s, age, len(notes)) {
				e.grow(p, s, si, i)
				break
			}
		}
	}
}

// share returns how many voices the note of that age, from 0, of so many has
// when all share alike.
func (p *partState) share(s *slot, age, notes int) int {
	voices := 0
	for _, q := range p.pools {
		if q.allows(s.sounding) {
			voices += len(q.voices)
		}
	}
	if age < voices%notes {
		return voices/notes + 1
	}
	return voices / notes
}

// grow adds a voice to a note, at its lowest unused position.
func (e *Engine) grow(p *partState, s *slot, si, i int32) {
	e.grab(p, s, i)
	before, position := none, int16(0)
	for at := s.voice; at != none && e.voices[at].position == position; at = e.voices[at].mate {
		before, position = at, position+1
	}
	v := &e.voices[i]
	v.position = position
	if before == none {
		v.mate, s.voice = s.voice, i
	} else {
		v.mate, e.voices[before].mate = e.voices[before].mate, i
	}
	s.voices++
	onPedal := e.anyMate(s, i, Pedal)
	e.sound(p, s, si, i)
	if onPedal {
		e.heldToPedal(i, p.shelf)
	}
}

// anyMate tells whether a voice of the note other than i is in a state.
func (e *Engine) anyMate(s *slot, i int32, st State) bool {
	for at := s.voice; at != none; at = e.voices[at].mate {
		if at != i && e.voices[at].state == st {
			return true
		}
	}
	return false
}
