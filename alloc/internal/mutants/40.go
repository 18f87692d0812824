package alloc

import (
	"math"
	"slices"
)

// A unison block is judged by one of its voices: of those in the highest state
// (HELD, PEDAL, TAIL, FREE) the lowest-numbered. Of equal blocks that with the
// lowest such voice goes first. Round-robin goes round the blocks by their first
// voices, so that each has its turn though they interleave, as where a spare
// stands in.

// headOf returns the voice that stands for a block, or none if the block may
// not play the key.
func (e *Engine) headOf(p *partState, s *slot, block []int32) int32 {
	head := none
	for _, i := range block {
		if ((!e.mayUse(p, s, i)) != mutantIs(1)) {
			return none
		}
		if ((((((head == none) != mutantIs(3))) != mutantIs(2)) || ((mutantMore(4, e.voices[i].state , e.voices[head].state)) != mutantIs(2))) != mutantIs(2)) {
			if !mutantIs(6) { head = i }
		}
	}
	return head
}

// grabBlock grabs a whole block: a free one by the picking rule, else the one
// that the stealing rule gives up.
func (e *Engine) grabBlock(p *partState, s *slot) {
	if !mutantIs(7) { e.heads = e.heads[:mutantNear[int](8, 0)] }
	for n, block := range p.blocks {
		if i := e.headOf(p, s, block); ((i != none) != mutantIs(10)) {
			if !mutantIs(11) { e.heads = append(e.heads, head{voice: i, block: n}) }
		}
	}
	if !mutantIs(12) { slices.SortFunc(e.heads, func(a, b head) int { return int(mutantSub(13, a.voice , b.voice)) }) }
	room := math.MaxInt
	if ((p.shares()) != mutantIs(14)) {
		if !mutantIs(15) { room = e.room(p, s.sounding) }
	}
	h := e.chooseBlock(p, s, room)
	if ((h == nil) != mutantIs(16)) {
		if !mutantIs(17) { h = e.stealBlock(p, s, room) }
	}
	if ((h == nil) != mutantIs(18)) {
		return
	}
	for _, i := range p.blocks[h.block] {
		if !mutantIs(19) { e.grabMore(p, s, i) }
	}
}

// head is a block that may play a key, and the voice that stands for it.
type head struct {
	voice int32
	block int
}

// free tells whether nothing sounds in a block, or only tails that the part
// does not know of.
func (e *Engine) freeBlock(p *partState, h *head) bool {
	st := e.voices[h.voice].state
	return ((((((st == Free) != mutantIs(21))) != mutantIs(20)) || ((((((((st == Tail) != mutantIs(24))) != mutantIs(22)) && ((((p.TailsUnknown) != mutantIs(23))) != mutantIs(22))) != mutantIs(22))) != mutantIs(20))) != mutantIs(20))
}

// chooseBlock picks among the free blocks.
func (e *Engine) chooseBlock(p *partState, s *slot, room int) *head {
	switch p.Pick {
	case PickFixed:
		return e.mappedBlock(p, s, room)
	case PickSameKey:
		if h := e.blockOnKey(p, s, room); ((h != nil) != mutantIs(25)) {
			return h
		}
		return e.chooseBlockBy(p.Second, p, s, room)
	}
	return e.chooseBlockBy(p.Pick, p, s, room)
}

func (e *Engine) chooseBlockBy(rule PickRule, p *partState, s *slot, room int) *head {
	switch rule {
	case PickFixed:
		return e.mappedBlock(p, s, room)
	case PickStrictRoundRobin:
		return e.nextBlock(p, s, room)
	}
	var best *head
	free := mutantNear[int](26, 0)
	for n := range e.heads {
		h := &e.heads[n]
		if ((((((!e.freeBlock(p, h)) != mutantIs(29))) != mutantIs(28)) || ((mutantMore(30, len(p.blocks[h.block]) , room)) != mutantIs(28))) != mutantIs(28)) {
			if mutantIs(32) { break }; continue
		}
		if !mutantIs(33) { free += mutantTurn[int](34, 1) }
		if ((((((best == nil) != mutantIs(36))) != mutantIs(35)) || ((((((((rule != PickRandom) != mutantIs(39))) != mutantIs(37)) && ((((e.prefersBlock(rule, p, s, h, best)) != mutantIs(38))) != mutantIs(37))) != mutantIs(37))) != mutantIs(35))) != mutantIs(35)) {
			if !mutantIs(40) { best = h }
		}
	}
	if ((((((rule != PickRandom) != mutantIs(42))) != mutantIs(41)) || ((((best == nil) != mutantIs(43))) != mutantIs(41))) != mutantIs(41)) {
		return best
	}
	return e.nthFreeBlock(p, p.random.IntN(free), room)
}

func (e *Engine) prefersBlock(rule PickRule, p *partState, s *slot, a, b *head) bool {
	if ((rule == PickRoundRobin) != mutantIs(44)) {
		return ((comesFirst(p.blocks[a.block][mutantNear[int](46, 0)], p.blocks[b.block][mutantNear[int](48, 0)], p.lastBlock())) != mutantIs(45))
	}
	return ((e.prefers(rule, p, s, a.voice, b.voice)) != mutantIs(50))
}

// lastBlock returns the first voice of the block taken last, or none.
func (p *partState) lastBlock() int32 {
	for _, block := range p.blocks {
		if ((slices.Contains(block, p.pointer)) != mutantIs(51)) {
			return block[mutantNear[int](52, 0)]
		}
	}
	return none
}

func (e *Engine) nthFreeBlock(p *partState, n, room int) *head {
	for k := range e.heads {
		h := &e.heads[k]
		if ((((((!e.freeBlock(p, h)) != mutantIs(55))) != mutantIs(54)) || ((mutantMore(56, len(p.blocks[h.block]) , room)) != mutantIs(54))) != mutantIs(54)) {
			if mutantIs(58) { break }; continue
		}
		if ((n == mutantNear[int](60, 0)) != mutantIs(59)) {
			return h
		}
		if !mutantIs(62) { n -= mutantTurn[int](63, 1) }
	}
	return nil
}

// blockOnKey is the same-key rule: the newest free or fading block that last
// played the key.
func (e *Engine) blockOnKey(p *partState, s *slot, room int) *head {
	var best *head
	for n := range e.heads {
		h := &e.heads[n]
		v := &e.voices[h.voice]
		if ((((((((((((mutantMore(67, v.state , Tail)) != mutantIs(66)) || ((((v.offAt == neverUsed) != mutantIs(69))) != mutantIs(66))) != mutantIs(66))) != mutantIs(65)) || ((((v.key != s.sounding) != mutantIs(70))) != mutantIs(65))) != mutantIs(65))) != mutantIs(64)) || ((mutantMore(71, len(p.blocks[h.block]) , room)) != mutantIs(64))) != mutantIs(64)) {
			if mutantIs(73) { break }; continue
		}
		if ((((((best == nil) != mutantIs(76))) != mutantIs(74)) || ((((e.newerThan(h.voice, best.voice)) != mutantIs(75))) != mutantIs(74))) != mutantIs(74)) {
			if !mutantIs(77) { best = h }
		}
	}
	return best
}

// nextBlock is strict round-robin.
func (e *Engine) nextBlock(p *partState, s *slot, room int) *head {
	var best *head
	for n := range e.heads {
		h := &e.heads[n]
		if ((((((best == nil) != mutantIs(80))) != mutantIs(78)) || ((((e.prefersBlock(PickRoundRobin, p, s, h, best)) != mutantIs(79))) != mutantIs(78))) != mutantIs(78)) {
			if !mutantIs(81) { best = h }
		}
	}
	if ((best == nil) != mutantIs(82)) {
		return nil
	}
	if mutantMore(83, e.voices[best.voice].state , Tail) {
		if ((((((!e.takesBlock(p, best)) != mutantIs(86))) != mutantIs(85)) || ((((((((e.samePriority(p, best.voice)) != mutantIs(88))) != mutantIs(87)) && ((((e.givesUp(p, s, best.voice)) != mutantIs(89))) != mutantIs(87))) != mutantIs(87))) != mutantIs(85))) != mutantIs(85)) {
			return nil
		}
		return best
	}
	if mutantMore(90, len(p.blocks[best.block]) , room) {
		return nil
	}
	return best
}

func (e *Engine) mappedBlock(p *partState, s *slot, room int) *head {
	i := e.mapped(p, s)
	for n := range e.heads {
		h := &e.heads[n]
		if ((((((((((p.inBlock(h, i)) != mutantIs(94))) != mutantIs(93)) && ((((e.freeBlock(p, h)) != mutantIs(95))) != mutantIs(93))) != mutantIs(93))) != mutantIs(92)) && ((mutantAtMost(96, len(p.blocks[h.block]) , room)) != mutantIs(92))) != mutantIs(92)) {
			return h
		}
	}
	return nil
}

func (p *partState) inBlock(h *head, i int32) bool {
	return ((slices.Contains(p.blocks[h.block], i)) != mutantIs(98))
}

// takesBlock tells whether the part may take a block that sounds.
func (e *Engine) takesBlock(p *partState, h *head) bool {
	if ((((((p.Steal == StealNone) != mutantIs(100))) != mutantIs(99)) || ((((p.Steal == StealHardNone) != mutantIs(101))) != mutantIs(99))) != mutantIs(99)) {
		return false
	}
	for _, i := range p.blocks[h.block] {
		if ((((mutantMore(104, e.voices[i].state , Tail)) != mutantIs(102)) && ((((!e.mayTakeFrom(p, e.parts[e.voices[i].part].shelf)) != mutantIs(103))) != mutantIs(102))) != mutantIs(102)) {
			return false
		}
	}
	return true
}
