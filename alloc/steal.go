package alloc

// victim returns the voice that the part's stealing rule takes from a tail or
// a note, or none if the new note is the one to be given up.
func (e *Engine) victim(p *partState, s *slot) int32 {
	if p.Pick == PickFixed {
		return e.mappedVictim(p, s)
	}
	if p.Steal == StealHardNone {
		return none
	}
	alone := p.MixClasses && p.Steal != StealNone && !p.Steal.Foresight()
	if !alone {
		if i := e.quietestTailOf(p, s.sounding); i != none {
			return i
		}
	}
	if p.Steal == StealNone {
		return none
	}
	for level := int32(0); level <= p.shelf; level++ {
		i, competes := e.fromLevel(p, s, level, alone)
		if i == none {
			continue
		}
		if competes && (p.NewcomerCompetes || p.Steal.Foresight()) && e.newcomerYields(p, s, i) {
			return none
		}
		return i
	}
	return none
}

// mappedVictim is the only voice that a fixed map lets a note have.
func (e *Engine) mappedVictim(p *partState, s *slot) int32 {
	i := e.mapped(p, s)
	if i == none || p.Steal == StealHardNone {
		return none
	}
	v := &e.voices[i]
	if v.state == Tail {
		return i
	}
	if p.Steal == StealNone || e.parts[v.part].shelf > p.shelf {
		return none
	}
	if (p.NewcomerCompetes || p.Steal.Foresight()) && e.newcomerYields(p, s, i) {
		return none
	}
	return i
}

func (e *Engine) quietestTailOf(p *partState, key int16) int32 {
	best := none
	for _, q := range p.pools {
		if q.tail.size == 0 || !q.allows(key) {
			continue
		}
		for n := range q.tails {
			if i := q.tails[n].head; i != none && (best == none || e.quieterTail(i, best)) {
				best = i
			}
		}
	}
	return best
}

// fromLevel returns the voice the rule takes from the open gates of one level
// of priority, PEDAL before HELD unless classes are mixed, or none; competes
// tells whether the newcomer stands in the same class.
func (e *Engine) fromLevel(p *partState, s *slot, level int32, mixed bool) (i int32, competes bool) {
	if p.Steal == StealProtectOuter {
		return e.innerFirst(p, s, level, mixed), false
	}
	if mixed || p.Steal.Foresight() {
		best := none
		if mixed {
			best = e.bestOf(p, s, best, func(q *pool) *rank { return q.mixedTail })
		}
		best = e.bestOf(p, s, best, func(q *pool) *rank { return q.shelves[level].pedal })
		return e.bestOf(p, s, best, func(q *pool) *rank { return q.shelves[level].held }), true
	}
	i = e.bestOf(p, s, none, func(q *pool) *rank { return q.shelves[level].pedal })
	if i != none {
		return i, false
	}
	return e.bestOf(p, s, none, func(q *pool) *rank { return q.shelves[level].held }), true
}

// bestOf returns the voice the rule takes from a class over all pools, or best
// if that goes first.
func (e *Engine) bestOf(p *partState, s *slot, best int32, class func(*pool) *rank) int32 {
	for _, q := range p.pools {
		r := class(q)
		if r.size == 0 || !q.allows(s.sounding) {
			continue
		}
		i := e.bestIn(p.Steal, q, r)
		if best == none || e.yields(p.Steal, i, best) {
			best = i
		}
	}
	return best
}

// bestIn returns the voice the rule takes from one class of one pool, which
// must not be empty.
func (e *Engine) bestIn(rule StealRule, q *pool, r *rank) int32 {
	switch rule {
	case StealOldest:
		return r.attack.head
	case StealNewest:
		return e.newest(r)
	case StealLowest:
		at, _ := r.keys.lowest()
		return q.voices[at]
	case StealHighest:
		at, _ := r.keys.highest()
		return q.voices[at]
	case StealSoftest:
		at, _ := r.softs.lowest()
		return q.voices[at]
	case StealQuietest:
		return e.quietestIn(q, r)
	case StealFewestCuts:
		return r.latest.top()
	case StealLeastLost:
		return r.soonest.top()
	}
	panic("alloc: unknown stealing rule")
}

func (e *Engine) quietestIn(q *pool, r *rank) int32 {
	if r.quiets == nil {
		return e.quietestTail(q)
	}
	best := none
	for n, quiet := range r.quiets {
		i := e.quietest(quiet, q, &e.envelopes[n])
		if i != none && (best == none || e.yields(StealQuietest, i, best)) {
			best = i
		}
	}
	return best
}

// yields tells whether the rule takes voice a before voice b.
func (e *Engine) yields(rule StealRule, a, b int32) bool {
	v, w := &e.voices[a], &e.voices[b]
	switch rule {
	case StealOldest, StealProtectOuter:
		return e.olderThan(a, b)
	case StealNewest:
		return e.newerThan(a, b)
	case StealLowest:
		if v.key != w.key {
			return v.key < w.key
		}
	case StealHighest:
		if v.key != w.key {
			return v.key > w.key
		}
	case StealSoftest:
		if v.velocity != w.velocity {
			return v.velocity < w.velocity
		}
	case StealQuietest:
		if x, y := e.product(a), e.product(b); x != y {
			return x < y
		}
	case StealFewestCuts:
		if x, y := e.ends[v.note], e.ends[w.note]; x != y {
			return x > y
		}
	case StealLeastLost:
		if x, y := e.ends[v.note], e.ends[w.note]; x != y {
			return x < y
		}
	}
	return a < b
}

// newcomerYields tells whether the rule gives up the new note rather than the
// one on voice i. Equal ones give up the newcomer. A newcomer counts with the
// level it is about to reach, full.
func (e *Engine) newcomerYields(p *partState, s *slot, i int32) bool {
	v := &e.voices[i]
	switch p.Steal {
	case StealNewest:
		return true
	case StealOldest:
		return v.attackAt >= e.now
	case StealLowest:
		return s.sounding <= v.key
	case StealHighest:
		return s.sounding >= v.key
	case StealSoftest:
		return s.velocity <= v.velocity
	case StealQuietest:
		return float64(s.velocity) <= e.product(i)
	case StealFewestCuts:
		return e.ends[s.id] >= e.ends[v.note]
	case StealLeastLost:
		return e.ends[s.id] <= e.ends[v.note]
	}
	return false
}

// innerFirst is protect-outer: an inner PEDAL, an inner HELD (or the oldest of
// these and the tails, mixed), then the top sounding voice, then the bass.
func (e *Engine) innerFirst(p *partState, s *slot, level int32, mixed bool) int32 {
	low, high := e.outerKeys(p, s.sounding)
	inner := func(r *rank) int32 { return e.oldestInner(r, low, high) }
	pedal := func(q *pool) *rank { return q.shelves[level].pedal }
	held := func(q *pool) *rank { return q.shelves[level].held }
	best := none
	if mixed {
		best = e.oldestBy(p, s, best, func(q *pool) *rank { return q.mixedTail },
			func(r *rank) int32 { return r.attack.head })
	}
	best = e.oldestBy(p, s, best, pedal, inner)
	if best == none || mixed {
		best = e.oldestBy(p, s, best, held, inner)
	}
	for _, key := range [2]int16{high, low} {
		on := func(r *rank) int32 { return e.oldestOn(r, key) }
		if best == none {
			best = e.oldestBy(p, s, best, pedal, on)
		}
		if best == none {
			best = e.oldestBy(p, s, best, held, on)
		}
	}
	return best
}

// oldestBy returns the oldest of what find gives for a class over all pools
// and best.
func (e *Engine) oldestBy(p *partState, s *slot, best int32, class func(*pool) *rank, find func(*rank) int32) int32 {
	for _, q := range p.pools {
		if !q.allows(s.sounding) {
			continue
		}
		if i := find(class(q)); i != none && (best == none || e.olderThan(i, best)) {
			best = i
		}
	}
	return best
}

// outerKeys returns the lowest and highest key of everything held or on the
// pedal in the part's banks and of the new key.
func (e *Engine) outerKeys(p *partState, key int16) (low, high int16) {
	low, high = key, key
	for _, q := range p.pools {
		if n := nextBit(q.sounding[:], 0); n >= 0 {
			low = min(low, keyOf(n))
			high = max(high, keyOf(prevBit(q.sounding[:], keyNumbers-1)))
		}
	}
	return low, high
}
