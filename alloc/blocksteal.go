package alloc

// stealBlock returns the block that the stealing rule gives up, or nil. It
// looks at every block: a part has few.
func (e *Engine) stealBlock(p *partState, s *slot, room int) *head {
	if p.Steal == StealHardNone || p.strict() {
		return nil
	}
	only := none
	if p.fixed() {
		only = e.mapped(p, s)
	}
	var tails, open []*head
	for n := range e.heads {
		h := &e.heads[n]
		switch st := e.voices[h.voice].state; {
		case p.fixed() && !p.inBlock(h, only):
		case st == Tail && len(p.blocks[h.block]) <= room:
			tails = append(tails, h)
		case st > Tail && e.takesBlock(p, h):
			open = append(open, h)
		}
	}
	if !p.mixes() {
		if h := firstOf(tails, func(a, b *head) bool { return e.quieterTail(a.voice, b.voice) }); h != nil {
			return h
		}
	}
	if p.Steal == StealNone {
		return nil
	}
	return e.stealOpenBlock(p, s, tails, open)
}

func (e *Engine) stealOpenBlock(p *partState, s *slot, tails, open []*head) *head {
	if p.Steal.Foresight() {
		ended := keepHeads(open, func(h *head) bool { return e.future.Ends[e.voices[h.voice].note] <= e.now })
		if len(ended) > 0 {
			return ended[0]
		}
	}
	lowest := p.Priority
	for _, h := range open {
		lowest = max(lowest, e.parts[e.voices[h.voice].part].Priority)
	}
	open = keepHeads(open, func(h *head) bool { return e.parts[e.voices[h.voice].part].Priority == lowest })
	h := e.giveUpBlock(p, s, tails, open)
	if h != nil && lowest == p.Priority && e.givesUp(p, s, h.voice) {
		return nil
	}
	return h
}

// giveUpBlock applies the stealing rule to blocks of one priority and to tails
// where classes are mixed.
func (e *Engine) giveUpBlock(p *partState, s *slot, tails, open []*head) *head {
	by := func(a, b *head) bool { return e.yields(p.Steal, a.voice, b.voice) }
	held := keepHeads(open, func(h *head) bool { return e.voices[h.voice].state == Held })
	pedal := keepHeads(open, func(h *head) bool { return e.voices[h.voice].state == Pedal })
	if p.Steal == StealProtectOuter {
		return e.innerBlock(p, s, tails, pedal, held)
	}
	if p.MixClasses || p.Steal.Foresight() {
		return firstOf(append(append(tails, pedal...), held...), by)
	}
	if len(pedal) > 0 {
		return firstOf(pedal, by)
	}
	return firstOf(held, by)
}

func (e *Engine) innerBlock(p *partState, s *slot, tails, pedal, held []*head) *head {
	low, high := e.outerKeys(p, s)
	older := func(a, b *head) bool { return e.olderThan(a.voice, b.voice) }
	passing := func(hs []*head, t keyTest) []*head {
		return keepHeads(hs, func(h *head) bool { return t.passes(e.voices[h.voice].key) })
	}
	inner := keyTest{low: low, high: high}
	if p.MixClasses {
		all := append(append(tails, passing(pedal, inner)...), passing(held, inner)...)
		if h := firstOf(all, older); h != nil {
			return h
		}
	}
	for _, t := range [3]keyTest{inner, {low: high, high: high, on: true}, {low: low, high: low, on: true}} {
		for _, hs := range [2][]*head{pedal, held} {
			if h := firstOf(passing(hs, t), older); h != nil {
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
		if best == nil || before(h, best) {
			best = h
		}
	}
	return best
}

func keepHeads(hs []*head, want func(*head) bool) []*head {
	var kept []*head
	for _, h := range hs {
		if want(h) {
			kept = append(kept, h)
		}
	}
	return kept
}
