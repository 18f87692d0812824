package alloc

import "slices"

// choose returns the voice that the part's picking rule gives a note without
// stealing, or none. Strict round-robin alone may name a voice that sounds.
func (e *Engine) choose(p *partState, s *slot) int32 {
	switch p.Pick {
	case PickStrictRoundRobin:
		return e.strictNext(p, s.sounding)
	case PickFixed:
		return e.fixedVoice(p, s)
	case PickSameKey:
		if i := e.pickOver(PickSameKey, p, s); i != none {
			return i
		}
		return e.chooseBy(p.Second, p, s)
	}
	return e.chooseBy(p.Pick, p, s)
}

func (e *Engine) chooseBy(rule PickRule, p *partState, s *slot) int32 {
	switch rule {
	case PickStrictRoundRobin:
		return e.strictNext(p, s.sounding)
	case PickFixed:
		return e.fixedVoice(p, s)
	case PickRandom:
		return e.randomVoice(p, s.sounding)
	}
	return e.pickOver(rule, p, s)
}

// pickOver asks each pool that the part may use for its best voice.
func (e *Engine) pickOver(rule PickRule, p *partState, s *slot) int32 {
	best := none
	for _, q := range p.pools {
		if !q.allows(s.sounding) {
			continue
		}
		i := e.pickIn(rule, p, q, s)
		if i != none && (best == none || e.prefers(rule, p, s, i, best)) {
			best = i
		}
	}
	return best
}

// pickIn returns the best voice of one pool, or none.
func (e *Engine) pickIn(rule PickRule, p *partState, q *pool, s *slot) int32 {
	if rule == PickSameKey {
		return e.inLast.first(q.lastOn[keyBucket(s.sounding)])
	}
	if q.candidates(p.TailsUnknown) == 0 {
		return none
	}
	switch rule {
	case PickLowest:
		return q.candidateFrom(0, p.TailsUnknown)
	case PickRoundRobin:
		if i := q.candidateFrom(e.placeAfter(q, p.pointer), p.TailsUnknown); i != none {
			return i
		}
		return q.candidateFrom(0, p.TailsUnknown)
	case PickLongestIdle:
		return e.longestIdle(q, p.TailsUnknown)
	case PickNearest:
		return q.nearest(s.sounding, p.TailsUnknown)
	case PickBankSpread, PickBankFill:
		return q.byBank(rule == PickBankFill, p.TailsUnknown)
	}
	panic("alloc: unknown picking rule")
}

// prefers tells whether the rule takes voice a, the best of one pool, before
// b, the best of another.
func (e *Engine) prefers(rule PickRule, p *partState, s *slot, a, b int32) bool {
	switch rule {
	case PickRoundRobin:
		return comesFirst(a, b, p.pointer)
	case PickLongestIdle:
		return e.idleBefore(a, b)
	case PickSameKey:
		return e.newerThan(a, b)
	case PickNearest:
		if x, y := e.jump(a, s.sounding), e.jump(b, s.sounding); x != y {
			return x < y
		}
	case PickBankSpread, PickBankFill:
		x, y := e.busy(a), e.busy(b)
		if x != y {
			return (x < y) == (rule == PickBankSpread)
		}
	}
	return a < b
}

// comesFirst tells whether a comes before b for who goes round and has come as
// far as at.
func comesFirst(a, b, at int32) bool {
	if (a > at) != (b > at) {
		return a > at
	}
	return a < b
}

// strictNext returns the voice after the last one taken, whatever it does; but
// those that the note has already been given are passed over.
func (e *Engine) strictNext(p *partState, key int16) int32 {
	best := none
	for _, q := range p.pools {
		if !q.allows(key) {
			continue
		}
		i := e.nextIn(q, e.placeAfter(q, p.pointer))
		if i != none && (best == none || e.prefers(PickRoundRobin, p, nil, i, best)) {
			best = i
		}
	}
	return best
}

// fixedVoice returns the voice that the map names for the key, if it is a
// candidate.
func (e *Engine) fixedVoice(p *partState, s *slot) int32 {
	i := e.mapped(p, s)
	if i == none {
		return none
	}
	if st := e.voices[i].state; st == Free || st == Tail && p.TailsUnknown {
		return i
	}
	return none
}

// mapped returns the voice that a fixed map names for a key, if it is in
// service for this part and key.
func (e *Engine) mapped(p *partState, s *slot) int32 {
	i, ok := p.Fixed[s.key]
	if !ok || i < 0 || i >= len(e.voices) {
		return none
	}
	if q := e.voices[i].pool; q != nil && slices.Contains(p.pools, q) && q.allows(s.sounding) {
		return int32(i)
	}
	return none
}

// randomVoice picks evenly among the candidates in ascending number.
func (e *Engine) randomVoice(p *partState, key int16) int32 {
	total := 0
	for _, q := range p.pools {
		if q.allows(key) {
			total += q.candidates(p.TailsUnknown)
		}
	}
	if total == 0 {
		return none
	}
	n := p.random.IntN(total)
	if len(p.pools) == 1 && !p.TailsUnknown {
		return p.pools[0].voices[p.pools[0].free.nth(n)]
	}
	for _, i := range p.voices {
		v := &e.voices[i]
		if v.state > Tail || v.state == Tail && !p.TailsUnknown || !v.pool.allows(key) {
			continue
		}
		if n == 0 {
			return i
		}
		n--
	}
	panic("alloc: candidates miscounted")
}
