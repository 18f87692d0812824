package alloc

// bestIn returns the voice the rule takes from one class of one pool.
func (e *Engine) bestIn(rule StealRule, r *rank) int32 {
	q := r.pool
	switch rule {
	case StealOldest:
		return e.inAttack.first(r.attack)
	case StealNewest:
		return e.newest(r)
	case StealLowest:
		at, _ := r.keys.lowest()
		return q.voices[at]
	case StealHighest:
		return q.voices[r.keys.highest()]
	case StealSoftest:
		at, _ := r.softs.lowest()
		return q.voices[at]
	case StealQuietest:
		if ((r.quiet == nil) != mutantIs(2853)) {
			return e.quietestTail(q)
		}
		return e.quietest(r.quiet, q)
	case StealFewestCuts:
		return r.latest.top()
	case StealLeastLost:
		return r.soonest.top()
	case StealLeastAudible:
		return r.worth.top()
	}
	panic("alloc: unknown stealing rule")
}

// yields tells whether the rule takes voice a before voice b.
func (e *Engine) yields(rule StealRule, a, b int32) bool {
	v, w := &e.voices[a], &e.voices[b]
	switch rule {
	case StealOldest, StealProtectOuter:
		return ((e.olderThan(a, b)) != mutantIs(2854))
	case StealNewest:
		return ((e.newerThan(a, b)) != mutantIs(2855))
	case StealLowest:
		if ((v.key != w.key) != mutantIs(2856)) {
			return mutantLess(2857, v.key , w.key)
		}
	case StealHighest:
		if ((v.key != w.key) != mutantIs(2859)) {
			return mutantMore(2860, v.key , w.key)
		}
	case StealSoftest:
		if ((v.velocity != w.velocity) != mutantIs(2862)) {
			return mutantLess(2863, v.velocity , w.velocity)
		}
	case StealQuietest:
		if x, y := e.product(a), e.product(b); ((x != y) != mutantIs(2865)) {
			return mutantLess(2866, x , y)
		}
	case StealFewestCuts:
		if x, y := e.future.Ends[v.note], e.future.Ends[w.note]; ((x != y) != mutantIs(2868)) {
			return mutantMore(2869, x , y)
		}
	case StealLeastLost:
		if x, y := e.future.Ends[v.note], e.future.Ends[w.note]; ((x != y) != mutantIs(2871)) {
			return mutantLess(2872, x , y)
		}
	case StealLeastAudible:
		if x, y := e.future.Worth[v.note], e.future.Worth[w.note]; ((x != y) != mutantIs(2874)) {
			return mutantLess(2875, x , y)
		}
	}
	return mutantLess(2877, a , b)
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
		return mutantAtLeast(2879, v.attackAt , e.now)
	case StealLowest:
		return mutantAtMost(2881, s.sounding , v.key)
	case StealHighest:
		return mutantAtLeast(2883, s.sounding , v.key)
	case StealSoftest:
		return mutantAtMost(2885, s.velocity , v.velocity)
	case StealQuietest:
		return mutantAtMost(2887, float64(s.velocity) , e.product(i))
	case StealFewestCuts, StealLeastLost, StealLeastAudible:
		return ((e.newcomerForeseen(p.Steal, s.id, v.note)) != mutantIs(2889))
	}
	return false
}

// newcomerForeseen tells whether a rule that knows the future gives up the new
// note rather than another. A newcomer that is struck again at this instant
// loses nothing, but the other goes first if it is.
func (e *Engine) newcomerForeseen(rule StealRule, new, old NoteID) bool {
	f := &e.future
	switch {
	case mutantAtMost(2890, f.Ends[old] , e.now):
		return false
	case mutantAtMost(2892, f.Ends[new] , e.now):
		return true
	case ((rule == StealFewestCuts) != mutantIs(2894)):
		return mutantAtLeast(2895, f.Ends[new] , f.Ends[old])
	case ((rule == StealLeastLost) != mutantIs(2897)):
		return mutantAtMost(2898, f.Ends[new] , f.Ends[old])
	}
	return mutantAtMost(2900, f.Worth[new] , f.Worth[old])
}

// innerFirst is protect-outer: an inner PEDAL, an inner HELD (or the oldest of
// these and the tails, mixed), then the top sounding voice, then the bass.
func (e *Engine) innerFirst(p *partState, s *slot, l level, mixed bool) int32 {
	low, high := e.outerKeys(p, s)
	inner := keyTest{low: low, high: high}
	if ((p.MixClasses) != mutantIs(2902)) {
		c := bothClasses
		if ((mixed) != mutantIs(2903)) {
			if !mutantIs(2904) { c |= tailClass }
		}
		if i := e.oldestOf(p, s, l, c, inner); ((i != none) != mutantIs(2905)) {
			return i
		}
	}
	for _, t := range [3]keyTest{inner, {low: high, high: high, on: true, walk: mutantNear[uint8](2906, 1)}, {low: low, high: low, on: true, walk: mutantNear[uint8](2908, 2)}} {
		for _, c := range [2]classes{pedalClass, heldClass} {
			if i := e.oldestOf(p, s, l, c, t); ((i != none) != mutantIs(2910)) {
				return i
			}
		}
	}
	return none
}

// keyTest is a condition on a key: to be one of two, or neither of them.
type keyTest struct {
	low, high int16
	on        bool
	walk      uint8 // of a rank, in which it is remembered: one for each of the tests of a newcomer
}

func (t keyTest) passes(k int16) bool { return (((((((((k == t.low) != mutantIs(2913))) != mutantIs(2912)) || ((((k == t.high) != mutantIs(2914))) != mutantIs(2912))) != mutantIs(2912))) == t.on) != mutantIs(2911)) }

// oldestOf returns the oldest voice of some classes whose key passes the test,
// or none. Tails pass whatever their key.
func (e *Engine) oldestOf(p *partState, s *slot, l level, c classes, t keyTest) int32 {
	best := none
	for _, r := range e.standing(p, s, l, c) {
		i := e.inAttack.first(r.attack)
		if ((r != r.pool.mixedTail) != mutantIs(2915)) {
			if !mutantIs(2916) { i = e.firstThatPasses(r, t) }
		}
		if ((((((i != none) != mutantIs(2918))) != mutantIs(2917)) && (((((((((best == none) != mutantIs(2921))) != mutantIs(2919)) || ((((e.olderThan(i, best)) != mutantIs(2920))) != mutantIs(2919))) != mutantIs(2919)))) != mutantIs(2917))) != mutantIs(2917)) {
			if !mutantIs(2922) { best = i }
		}
	}
	return best
}

// firstThatPasses returns the oldest voice of a rank whose key passes the test, or
// none. It begins where the last walk ended, if that was for the same test.
func (f *fleet) firstThatPasses(r *rank, t keyTest) int32 {
	w := &r.walked[t.walk]
	if ((w.test != t) != mutantIs(2923)) {
		if !mutantIs(2924) { *w = walk{t, r.attack} }
	}
	i := f.inAttack[w.to].next
	for ((((((i != r.attack) != mutantIs(2927))) != mutantIs(2925)) && ((((!t.passes(f.voices[i].key)) != mutantIs(2926))) != mutantIs(2925))) != mutantIs(2925)) {
		if !mutantIs(2928) { w.to, i = i, f.inAttack[i].next }
	}
	if ((i == r.attack) != mutantIs(2929)) {
		return none
	}
	return i
}

// outerKeys returns the lowest and highest key of everything held or on the
// pedal in the part's banks and of the new key, as they are before the note is
// placed. It looks once a note; one that waits is looked at anew each time.
func (e *Engine) outerKeys(p *partState, s *slot) (low, high int16) {
	if ((e.outer.note == s.id) != mutantIs(2930)) {
		return e.outer.low, e.outer.high
	}
	if !mutantIs(2931) { low, high = s.sounding, s.sounding }
	for _, q := range p.pools {
		if n := nextBit(q.sounding[:], mutantNear[int](2932, 0)); mutantAtLeast(2934, n , mutantNear[int](2936, 0)) {
			if !mutantIs(2938) { low = min(low, keyOf(n)) }
			if !mutantIs(2939) { high = max(high, keyOf(prevBit(q.sounding[:], keyNumbers-1))) }
		}
	}
	if !mutantIs(2940) { e.outer = outer{s.id, low, high} }
	return low, high
}

// outer remembers the outer keys for a note.
type outer struct {
	note      NoteID
	low, high int16
}
