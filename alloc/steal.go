package alloc

// victim returns the voice that the part's stealing rule takes from a tail
// (where the part may have one) or a note, or none if the new note is the one
// to be given up.
func (e *Engine) victim(p *partState, s *slot, tails bool) int32 {
	switch {
	case p.strict():
		return e.strictVictim(p, s, tails)
	case p.fixed():
		return e.mappedVictim(p, s, tails)
	case p.Steal == StealHardNone:
		return none
	}
	mixed := p.mixes()
	if tails && !mixed {
		if i := e.quietestTailOf(p, s.sounding); i != none {
			return i
		}
	}
	if p.Steal == StealNone {
		return none
	}
	if p.Steal.Foresight() {
		if i := e.finished(p, s); i != none {
			return i
		}
	}
	return e.fromShelves(p, s, mixed && tails)
}

// strictVictim is the next voice, where the part may take it.
func (e *Engine) strictVictim(p *partState, s *slot, tails bool) int32 {
	i := e.strictNext(p, s.sounding)
	if i == none || e.voices[i].state <= Tail && !tails || e.voices[i].state > Tail && !e.strictTakes(p, s, i) {
		return none
	}
	return i
}

// mixes tells whether tails compete with notes under the part's rule.
func (p *partState) mixes() bool {
	return p.MixClasses && p.Steal != StealNone && !p.Steal.Foresight()
}

// level is the shelves of one priority.
type level struct{ from, to int }

// fromShelves asks the shelves that the part may take from, one level of
// priority after the other, the lowest first. Tails belong to no part: mixed,
// they compete with the first level that has a note.
func (e *Engine) fromShelves(p *partState, s *slot, mixed bool) int32 {
	for _, l := range e.levels {
		own := e.shelves[l.from].priority == p.Priority
		if !own && len(e.standing(p, s, l, bothClasses)) == 0 {
			continue
		}
		i := e.fromLevel(p, s, l, mixed)
		if own && e.givesUp(p, s, i) {
			return none
		}
		return i
	}
	return none
}

// givesUp tells whether the newcomer competes and is given up rather than the
// note on voice i. It stands among HELD, so a PEDAL goes before it unless the
// classes are mixed.
func (e *Engine) givesUp(p *partState, s *slot, i int32) bool {
	if i == none || !p.Steal.Foresight() && !p.NewcomerCompetes {
		return false
	}
	sameClass := p.Steal.Foresight() || p.MixClasses || e.voices[i].state == Held
	return sameClass && e.newcomerYields(p, s, i)
}

// finished returns the lowest-numbered voice whose note is to be struck again
// at this very instant: nothing is lost if it gives way first.
func (e *Engine) finished(p *partState, s *slot) int32 {
	best := none
	for _, r := range e.standing(p, s, level{0, len(e.shelves)}, bothClasses) {
		i := r.soonest.top()
		if e.future.Ends[e.voices[i].note] <= e.now && (best == none || i < best) {
			best = i
		}
	}
	return best
}

// fixed tells whether the part's notes may have no voice but the mapped one.
func (p *partState) fixed() bool {
	return p.Pick == PickFixed || p.Pick == PickSameKey && p.Second == PickFixed
}

// mappedVictim is the only voice that a fixed map lets a note have.
func (e *Engine) mappedVictim(p *partState, s *slot, tails bool) int32 {
	i := e.mapped(p, s)
	if i == none || p.Steal == StealHardNone {
		return none
	}
	if e.voices[i].state <= Tail {
		if !tails || p.mixes() && e.givesUp(p, s, i) {
			return none
		}
		return i
	}
	if !e.mayStealFrom(p, i) {
		return none
	}
	if e.samePriority(p, i) && e.givesUp(p, s, i) {
		return none
	}
	return i
}

// samePriority tells whether voice i plays a note of a part of p's priority.
func (e *Engine) samePriority(p *partState, i int32) bool {
	return e.parts[e.voices[i].part].Priority == p.Priority
}

func (e *Engine) quietestTailOf(p *partState, key int16) int32 {
	best := none
	for _, q := range p.pools {
		if q.tail.size == 0 || !q.allows(key) {
			continue
		}
		for _, end := range q.tails {
			if i := e.inTail.first(end); i != none && (best == none || e.quieterTail(i, best)) {
				best = i
			}
		}
	}
	return best
}

// classes is a set of classes of voices that a note may be taken from.
type classes uint8

const (
	tailClass classes = 1 << iota
	pedalClass
	heldClass
	bothClasses = pedalClass | heldClass
)

// standing returns what stands in some classes of the shelves that a part may
// take from, over the pools that it may use for the key; nothing empty.
func (e *Engine) standing(p *partState, s *slot, l level, c classes) []*rank {
	found := e.ranks[:0]
	for _, q := range p.pools {
		if !q.allows(s.sounding) {
			continue
		}
		if c&tailClass != 0 && q.mixedTail.size > 0 {
			found = append(found, q.mixedTail)
		}
		for n := l.from; n < l.to; n++ {
			shelf := &q.shelves[n]
			pedal, held := c&pedalClass != 0 && shelf.pedal.size > 0, c&heldClass != 0 && shelf.held.size > 0
			if !pedal && !held || !e.mayTakeFrom(p, int32(n)) {
				continue
			}
			if pedal {
				found = append(found, shelf.pedal)
			}
			if held {
				found = append(found, shelf.held)
			}
		}
	}
	e.ranks = found
	return found
}

// fromLevel returns the voice the rule takes from the open gates of one level
// of priority, PEDAL before HELD unless classes are mixed, or none.
func (e *Engine) fromLevel(p *partState, s *slot, l level, mixed bool) int32 {
	switch {
	case p.Steal == StealProtectOuter:
		return e.innerFirst(p, s, l, mixed)
	case mixed:
		return e.bestOf(p, s, l, tailClass|bothClasses)
	case p.MixClasses || p.Steal.Foresight():
		return e.bestOf(p, s, l, bothClasses)
	}
	if i := e.bestOf(p, s, l, pedalClass); i != none {
		return i
	}
	return e.bestOf(p, s, l, heldClass)
}

// bestOf returns the voice the rule takes from some classes, or none.
func (e *Engine) bestOf(p *partState, s *slot, l level, c classes) int32 {
	best := none
	for _, r := range e.standing(p, s, l, c) {
		if i := e.bestIn(p.Steal, r); best == none || e.yields(p.Steal, i, best) {
			best = i
		}
	}
	return best
}
