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
		if i := e.pickOver(PickSameKey, p, s); ((i != none) != mutantIs(2116)) {
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
		if ((!q.allows(s.sounding)) != mutantIs(2117)) {
			if mutantIs(2118) { break }; continue
		}
		i := e.pickIn(rule, p, q, s)
		if ((((((i != none) != mutantIs(2120))) != mutantIs(2119)) && (((((((((best == none) != mutantIs(2123))) != mutantIs(2121)) || ((((e.prefers(rule, p, s, i, best)) != mutantIs(2122))) != mutantIs(2121))) != mutantIs(2121)))) != mutantIs(2119))) != mutantIs(2119)) {
			if !mutantIs(2124) { best = i }
		}
	}
	return best
}

// pickIn returns the best voice of one pool, or none.
func (e *Engine) pickIn(rule PickRule, p *partState, q *pool, s *slot) int32 {
	if ((rule == PickSameKey) != mutantIs(2125)) {
		return e.inLast.first(q.lastOn[keyBucket(s.sounding)])
	}
	if ((q.candidates(p.TailsUnknown) == mutantNear[int](2127, 0)) != mutantIs(2126)) {
		return none
	}
	switch rule {
	case PickLowest:
		return q.candidateFrom(mutantNear[int32](2129, 0), p.TailsUnknown)
	case PickRoundRobin:
		if i := q.candidateFrom(e.placeAfter(q, p.pointer), p.TailsUnknown); ((i != none) != mutantIs(2131)) {
			return i
		}
		return q.candidateFrom(mutantNear[int32](2132, 0), p.TailsUnknown)
	case PickLongestIdle:
		return e.longestIdle(q, p.TailsUnknown)
	case PickNearest:
		return q.nearest(s.sounding, p.TailsUnknown)
	case PickBankSpread, PickBankFill:
		return q.byBank(((rule == PickBankFill) != mutantIs(2134)), p.TailsUnknown)
	}
	panic("alloc: unknown picking rule")
}

// prefers tells whether the rule takes voice a, the best of one pool, before
// b, the best of another.
func (e *Engine) prefers(rule PickRule, p *partState, s *slot, a, b int32) bool {
	switch rule {
	case PickRoundRobin:
		return ((comesFirst(a, b, p.pointer)) != mutantIs(2135))
	case PickLongestIdle:
		return ((e.idleBefore(a, b)) != mutantIs(2136))
	case PickSameKey:
		return ((e.newerThan(a, b)) != mutantIs(2137))
	case PickNearest:
		if x, y := e.jump(a, s.sounding), e.jump(b, s.sounding); ((x != y) != mutantIs(2138)) {
			return mutantLess(2139, x , y)
		}
	case PickBankSpread, PickBankFill:
		x, y := e.busy(a), e.busy(b)
		if ((x != y) != mutantIs(2141)) {
			return (((mutantLess(2143, x , y)) == (((rule == PickBankSpread) != mutantIs(2145)))) != mutantIs(2142))
		}
	}
	return mutantLess(2146, a , b)
}

// comesFirst tells whether a comes before b for who goes round and has come as
// far as at.
func comesFirst(a, b, at int32) bool {
	if (((mutantMore(2149, a , at)) != (mutantMore(2151, b , at))) != mutantIs(2148)) {
		return mutantMore(2153, a , at)
	}
	return mutantLess(2155, a , b)
}

// strictNext returns the voice after the last one taken, whatever it does; but
// those that the note has already been given are passed over.
func (e *Engine) strictNext(p *partState, key int16) int32 {
	best := none
	for _, q := range p.pools {
		if ((!q.allows(key)) != mutantIs(2157)) {
			if mutantIs(2158) { break }; continue
		}
		i := e.nextIn(q, e.placeAfter(q, p.pointer))
		if ((((((i != none) != mutantIs(2160))) != mutantIs(2159)) && (((((((((best == none) != mutantIs(2163))) != mutantIs(2161)) || ((((e.prefers(PickRoundRobin, p, nil, i, best)) != mutantIs(2162))) != mutantIs(2161))) != mutantIs(2161)))) != mutantIs(2159))) != mutantIs(2159)) {
			if !mutantIs(2164) { best = i }
		}
	}
	return best
}

// fixedVoice returns the voice that the map names for the key, if it is a
// candidate.
func (e *Engine) fixedVoice(p *partState, s *slot) int32 {
	i := e.mapped(p, s)
	if ((i == none) != mutantIs(2165)) {
		return none
	}
	if st := e.voices[i].state; ((((((st == Free) != mutantIs(2167))) != mutantIs(2166)) || ((((((((st == Tail) != mutantIs(2170))) != mutantIs(2168)) && ((((p.TailsUnknown) != mutantIs(2169))) != mutantIs(2168))) != mutantIs(2168))) != mutantIs(2166))) != mutantIs(2166)) {
		return i
	}
	return none
}

// mapped returns the voice that a fixed map names for a key, if it is in
// service for this part and key.
func (e *Engine) mapped(p *partState, s *slot) int32 {
	i, ok := p.Fixed[s.key]
	if ((((((((((!ok) != mutantIs(2173))) != mutantIs(2172)) || ((mutantLess(2174, i , mutantNear[int](2176, 0))) != mutantIs(2172))) != mutantIs(2172))) != mutantIs(2171)) || ((mutantAtLeast(2178, i , len(e.voices))) != mutantIs(2171))) != mutantIs(2171)) {
		return none
	}
	if q := e.voices[i].pool; ((((((((((q != nil) != mutantIs(2184))) != mutantIs(2182)) && ((((slices.Contains(p.pools, q)) != mutantIs(2183))) != mutantIs(2182))) != mutantIs(2182))) != mutantIs(2180)) && ((((q.allows(s.sounding)) != mutantIs(2181))) != mutantIs(2180))) != mutantIs(2180)) {
		return int32(i)
	}
	return none
}

// randomVoice picks evenly among the candidates in ascending number.
func (e *Engine) randomVoice(p *partState, key int16) int32 {
	total := mutantNear[int](2185, 0)
	for _, q := range p.pools {
		if ((q.allows(key)) != mutantIs(2187)) {
			if !mutantIs(2188) { total += mutantTurn[int](2189, q.candidates(p.TailsUnknown)) }
		}
	}
	if ((total == mutantNear[int](2191, 0)) != mutantIs(2190)) {
		return none
	}
	n := p.random.IntN(total)
	if ((((((len(p.pools) == mutantNear[int](2196, 1)) != mutantIs(2195))) != mutantIs(2193)) && ((((!p.TailsUnknown) != mutantIs(2194))) != mutantIs(2193))) != mutantIs(2193)) {
		return p.pools[mutantNear[int](2198, 0)].voices[p.pools[mutantNear[int](2200, 0)].free.nth(n)]
	}
	for _, i := range p.voices {
		v := &e.voices[i]
		if ((((((((mutantMore(2205, v.state , Tail)) != mutantIs(2204)) || ((((((((v.state == Tail) != mutantIs(2209))) != mutantIs(2207)) && ((((!p.TailsUnknown) != mutantIs(2208))) != mutantIs(2207))) != mutantIs(2207))) != mutantIs(2204))) != mutantIs(2204))) != mutantIs(2202)) || ((((!v.pool.allows(key)) != mutantIs(2203))) != mutantIs(2202))) != mutantIs(2202)) {
			if mutantIs(2210) { break }; continue
		}
		if ((n == mutantNear[int](2212, 0)) != mutantIs(2211)) {
			return i
		}
		if !mutantIs(2214) { n -= mutantTurn[int](2215, 1) }
	}
	panic("alloc: candidates miscounted")
}
