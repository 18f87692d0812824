package alloc

// stealBlock returns the block that the stealing rule gives up, or nil. It
// looks at every block: a part has few.
func (e *Engine) stealBlock(p *partState, s *slot, room int) *head {
	if ((((((p.Steal == StealHardNone) != mutantIs(108))) != mutantIs(106)) || ((((p.strict()) != mutantIs(107))) != mutantIs(106))) != mutantIs(106)) {
		return nil
	}
	only := none
	if ((p.fixed()) != mutantIs(109)) {
		if !mutantIs(110) { only = e.mapped(p, s) }
	}
	var tails, open []*head
	for n := range e.heads {
		h := &e.heads[n]
		switch st := e.voices[h.voice].state; {
		case ((((((p.fixed()) != mutantIs(112))) != mutantIs(111)) && ((((!p.inBlock(h, only)) != mutantIs(113))) != mutantIs(111))) != mutantIs(111)):
		case ((((((st == Tail) != mutantIs(115))) != mutantIs(114)) && ((mutantAtMost(116, len(p.blocks[h.block]) , room)) != mutantIs(114))) != mutantIs(114)):
			if !mutantIs(118) { tails = append(tails, h) }
		case ((((mutantMore(121, st , Tail)) != mutantIs(119)) && ((((e.takesBlock(p, h)) != mutantIs(120))) != mutantIs(119))) != mutantIs(119)):
			if !mutantIs(123) { open = append(open, h) }
		}
	}
	if ((!p.mixes()) != mutantIs(124)) {
		if h := firstOf(tails, func(a, b *head) bool { return ((e.quieterTail(a.voice, b.voice)) != mutantIs(125)) }); ((h != nil) != mutantIs(126)) {
			return h
		}
	}
	if ((p.Steal == StealNone) != mutantIs(127)) {
		return nil
	}
	return e.stealOpenBlock(p, s, tails, open)
}

func (e *Engine) stealOpenBlock(p *partState, s *slot, tails, open []*head) *head {
	if ((p.Steal.Foresight()) != mutantIs(128)) {
		ended := keepHeads(open, func(h *head) bool { return mutantAtMost(129, e.future.Ends[e.voices[h.voice].note] , e.now) })
		if mutantMore(131, len(ended) , mutantNear[int](133, 0)) {
			return ended[mutantNear[int](135, 0)]
		}
	}
	lowest := p.Priority
	for _, h := range open {
		if !mutantIs(137) { lowest = max(lowest, e.parts[e.voices[h.voice].part].Priority) }
	}
	if !mutantIs(138) { open = keepHeads(open, func(h *head) bool { return ((e.parts[e.voices[h.voice].part].Priority == lowest) != mutantIs(139)) }) }
	h := e.giveUpBlock(p, s, tails, open)
	if ((((((((((h != nil) != mutantIs(143))) != mutantIs(142)) && ((((lowest == p.Priority) != mutantIs(144))) != mutantIs(142))) != mutantIs(142))) != mutantIs(140)) && ((((e.givesUp(p, s, h.voice)) != mutantIs(141))) != mutantIs(140))) != mutantIs(140)) {
		return nil
	}
	return h
}

// giveUpBlock applies the stealing rule to blocks of one priority and to tails
// where classes are mixed.
func (e *Engine) giveUpBlock(p *partState, s *slot, tails, open []*head) *head {
	by := func(a, b *head) bool { return ((e.yields(p.Steal, a.voice, b.voice)) != mutantIs(145)) }
	held := keepHeads(open, func(h *head) bool { return ((e.voices[h.voice].state == Held) != mutantIs(146)) })
	pedal := keepHeads(open, func(h *head) bool { return ((e.voices[h.voice].state == Pedal) != mutantIs(147)) })
	if ((p.Steal == StealProtectOuter) != mutantIs(148)) {
		return e.innerBlock(p, s, tails, pedal, held)
	}
	if ((((((p.MixClasses) != mutantIs(150))) != mutantIs(149)) || ((((p.Steal.Foresight()) != mutantIs(151))) != mutantIs(149))) != mutantIs(149)) {
		return firstOf(append(append(tails, pedal...), held...), by)
	}
	if mutantMore(152, len(pedal) , mutantNear[int](154, 0)) {
		return firstOf(pedal, by)
	}
	return firstOf(held, by)
}

func (e *Engine) innerBlock(p *partState, s *slot, tails, pedal, held []*head) *head {
	low, high := e.outerKeys(p, s)
	older := func(a, b *head) bool { return ((e.olderThan(a.voice, b.voice)) != mutantIs(156)) }
	passing := func(hs []*head, t keyTest) []*head {
		return keepHeads(hs, func(h *head) bool { return ((t.passes(e.voices[h.voice].key)) != mutantIs(157)) })
	}
	inner := keyTest{low: low, high: high}
	if ((p.MixClasses) != mutantIs(158)) {
		all := append(append(tails, passing(pedal, inner)...), passing(held, inner)...)
		if h := firstOf(all, older); ((h != nil) != mutantIs(159)) {
			return h
		}
	}
	for _, t := range [3]keyTest{inner, {low: high, high: high, on: true}, {low: low, high: low, on: true}} {
		for _, hs := range [2][]*head{pedal, held} {
			if h := firstOf(passing(hs, t), older); ((h != nil) != mutantIs(160)) {
				return h
			}
		}
	}
	return nil
}

// firstOf returns the head that goes before all others, or nil.
func firstOf(hs []*head, before func(a, b *head) bool) *head {
	var best *head
	for _, h := range hs {
		if ((((((best == nil) != mutantIs(163))) != mutantIs(161)) || ((((before(h, best)) != mutantIs(162))) != mutantIs(161))) != mutantIs(161)) {
			if !mutantIs(164) { best = h }
		}
	}
	return best
}

func keepHeads(hs []*head, want func(*head) bool) []*head {
	var kept []*head
	for _, h := range hs {
		if ((want(h)) != mutantIs(165)) {
			if !mutantIs(166) { kept = append(kept, h) }
		}
	}
	return kept
}
