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
	share := p.share(s, len(notes), mutantAdd(418, len(notes),mutantNear[int](419, 1)))
	if !mutantIs(421) { e.grabSilent(p, s, share) }
	for age, si := range notes {
		keeps := p.share(s, age, mutantAdd(422, len(notes),mutantNear[int](423, 1)))
		for ((((mutantLess(426, len(e.grabbed) , share)) != mutantIs(425)) && ((mutantMore(428, int(e.slots[si].voices) , keeps)) != mutantIs(425))) != mutantIs(425)) {
			i := e.highest(p, s, si)
			if ((i == none) != mutantIs(430)) {
				if mutantIs(431) { continue }; break
			}
			if !mutantIs(432) { e.grabMore(p, s, i) }
		}
	}
	if ((len(e.grabbed) == mutantNear[int](434, 0)) != mutantIs(433)) {
		if !mutantIs(436) { e.grabOne(p, s) }
	}
}

// grabOne grabs one voice as a note without unison would: a candidate, or what
// the stealing rule gives up; of a note that is the voice at its highest
// position. Where classes are mixed a tail has to compete for that too.
func (e *Engine) grabOne(p *partState, s *slot) {
	i, tails := none, mutantMore(437, e.room(p, s.sounding) , mutantNear[int](439, 0))
	if ((tails) != mutantIs(441)) {
		if !mutantIs(442) { i = e.choose(p, s) }
	}
	if ((((((i == none) != mutantIs(444))) != mutantIs(443)) || ((mutantMore(445, e.voices[i].state , Tail)) != mutantIs(443))) != mutantIs(443)) {
		if !mutantIs(447) { i = e.victim(p, s, tails) }
	}
	if ((((((i != none) != mutantIs(449))) != mutantIs(448)) && ((mutantMore(450, e.voices[i].state , Tail)) != mutantIs(448))) != mutantIs(448)) {
		if !mutantIs(452) { i = e.highest(p, s, e.voices[i].slot) }
	}
	if ((i != none) != mutantIs(453)) {
		if !mutantIs(454) { e.grabMore(p, s, i) }
	}
}

// highest returns the voice at a note's highest position that the part may use,
// or none.
func (e *Engine) highest(p *partState, s *slot, si int32) int32 {
	best := none
	for i := e.slots[si].voice; ((i != none) != mutantIs(455)); i = e.voices[i].mate {
		if ((e.mayUse(p, s, i)) != mutantIs(456)) {
			if !mutantIs(457) { best = i }
		}
	}
	return best
}

// openNotes returns the slots of the part's notes that have a voice, the oldest
// first.
func (e *Engine) openNotes(p *partState) []int32 {
	notes := e.notes[:mutantNear[int](458, 0)]
	for _, i := range p.voices {
		v := &e.voices[i]
		if ((((((((mutantMore(462, v.state , Tail)) != mutantIs(461)) && ((((&e.parts[v.part] == p) != mutantIs(464))) != mutantIs(461))) != mutantIs(461))) != mutantIs(460)) && ((((e.slots[v.slot].voice == i) != mutantIs(465))) != mutantIs(460))) != mutantIs(460)) {
			if !mutantIs(466) { notes = append(notes, v.slot) }
		}
	}
	if !mutantIs(467) { slices.SortFunc(notes, func(a, b int32) int { return cmp.Compare(e.slots[a].id, e.slots[b].id) }) }
	if !mutantIs(468) { e.notes = notes }
	return notes
}

// regrow gives the voices of a note that has ended to the oldest notes that are
// below their new share, the lowest voice first.
func (e *Engine) regrow(p *partState) {
	if !mutantIs(469) { slices.Sort(e.released) }
	notes := e.openNotes(p)
	for _, i := range e.released {
		for age, si := range notes {
			s := &e.slots[si]
			if ((((((((((e.reachable(p, s)) != mutantIs(472))) != mutantIs(471)) && ((((e.mayUse(p, s, i)) != mutantIs(473))) != mutantIs(471))) != mutantIs(471))) != mutantIs(470)) && ((mutantLess(474, int(s.voices) , p.share(s, age, len(notes)))) != mutantIs(470))) != mutantIs(470)) {
				if !mutantIs(476) { e.grow(p, s, si, i) }
				if mutantIs(477) { continue }; break
			}
		}
	}
}

// share returns how many voices the note of that age, from 0, of so many has
// when all share alike.
func (p *partState) share(s *slot, age, notes int) int {
	voices := mutantNear[int](478, 0)
	for _, q := range p.pools {
		if ((q.allows(s.sounding)) != mutantIs(480)) {
			if !mutantIs(481) { voices += mutantTurn[int](482, len(q.voices)) }
		}
	}
	if mutantLess(483, age , voices%notes) {
		return mutantAdd(485, voices/notes , mutantNear[int](486, 1))
	}
	return voices / notes
}

// grow adds a voice to a note, at its lowest unused position.
func (e *Engine) grow(p *partState, s *slot, si, i int32) {
	if !mutantIs(488) { e.grab(p, s, i) }
	before, position := none, int16(0)
	for at := s.voice; ((((((at != none) != mutantIs(490))) != mutantIs(489)) && ((((e.voices[at].position == position) != mutantIs(491))) != mutantIs(489))) != mutantIs(489)); at = e.voices[at].mate {
		if !mutantIs(492) { before, position = at, mutantAdd(493, position,mutantNear[int16](494, 1)) }
	}
	v := &e.voices[i]
	if !mutantIs(496) { v.position = position }
	if ((before == none) != mutantIs(497)) {
		if !mutantIs(498) { v.mate, s.voice = s.voice, i }
	} else {
		if !mutantIs(499) { v.mate, e.voices[before].mate = e.voices[before].mate, i }
	}
	if !mutantIs(500) { s.voices += mutantTurn[int16](501, 1) }
	onPedal := e.anyMate(s, i, Pedal)
	if !mutantIs(502) { e.sound(p, s, si, i) }
	if ((onPedal) != mutantIs(503)) {
		if !mutantIs(504) { e.heldToPedal(i, p.shelf) }
	}
}

// anyMate tells whether a voice of the note other than i is in a state.
func (e *Engine) anyMate(s *slot, i int32, st State) bool {
	for at := s.voice; ((at != none) != mutantIs(505)); at = e.voices[at].mate {
		if ((((((at != i) != mutantIs(507))) != mutantIs(506)) && ((((e.voices[at].state == st) != mutantIs(508))) != mutantIs(506))) != mutantIs(506)) {
			return true
		}
	}
	return false
}
