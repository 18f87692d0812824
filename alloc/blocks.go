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
		if !e.mayUse(p, s, i) {
			return none
		}
		if head == none || e.voices[i].state > e.voices[head].state {
			head = i
		}
	}
	return head
}

// grabBlock grabs a whole block: a free one by the picking rule, else the one
// that the stealing rule gives up.
func (e *Engine) grabBlock(p *partState, s *slot) {
	e.heads = e.heads[:0]
	for n, block := range p.blocks {
		if i := e.headOf(p, s, block); i != none {
			e.heads = append(e.heads, head{voice: i, block: n})
		}
	}
	slices.SortFunc(e.heads, func(a, b head) int { return int(a.voice - b.voice) })
	room := math.MaxInt
	if p.shares() {
		room = e.room(p, s.sounding)
	}
	h := e.chooseBlock(p, s, room)
	if h == nil {
		h = e.stealBlock(p, s, room)
	}
	if h == nil {
		return
	}
	for _, i := range p.blocks[h.block] {
		e.grabMore(p, s, i)
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
	return st == Free || st == Tail && p.TailsUnknown
}

// chooseBlock picks among the free blocks.
func (e *Engine) chooseBlock(p *partState, s *slot, room int) *head {
	switch p.Pick {
	case PickFixed:
		return e.mappedBlock(p, s, room)
	case PickSameKey:
		if h := e.blockOnKey(p, s, room); h != nil {
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
	free := 0
	for n := range e.heads {
		h := &e.heads[n]
		if !e.freeBlock(p, h) || len(p.blocks[h.block]) > room {
			continue
		}
		free++
		if best == nil || rule != PickRandom && e.prefersBlock(rule, p, s, h, best) {
			best = h
		}
	}
	if rule != PickRandom || best == nil {
		return best
	}
	return e.nthFreeBlock(p, p.random.IntN(free), room)
}

func (e *Engine) prefersBlock(rule PickRule, p *partState, s *slot, a, b *head) bool {
	if rule == PickRoundRobin {
		return comesFirst(p.blocks[a.block][0], p.blocks[b.block][0], p.lastBlock())
	}
	return e.prefers(rule, p, s, a.voice, b.voice)
}

// lastBlock returns the first voice of the block taken last, or none.
func (p *partState) lastBlock() int32 {
	for _, block := range p.blocks {
		if slices.Contains(block, p.pointer) {
			return block[0]
		}
	}
	return none
}

func (e *Engine) nthFreeBlock(p *partState, n, room int) *head {
	for k := range e.heads {
		h := &e.heads[k]
		if !e.freeBlock(p, h) || len(p.blocks[h.block]) > room {
			continue
		}
		if n == 0 {
			return h
		}
		n--
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
		if v.state > Tail || v.offAt == neverUsed || v.key != s.sounding || len(p.blocks[h.block]) > room {
			continue
		}
		if best == nil || e.newerThan(h.voice, best.voice) {
			best = h
		}
	}
	return best
}

// nextBlock is strict round-robin.
func (e *Engine) nextBlock(p *partState, s *slot, room int) *head {
	var best *head
	for n := range e.heads {
		h := &e.heads[n]
		if best == nil || e.prefersBlock(PickRoundRobin, p, s, h, best) {
			best = h
		}
	}
	if best == nil {
		return nil
	}
	if e.voices[best.voice].state > Tail {
		if !e.takesBlock(p, best) || e.samePriority(p, best.voice) && e.givesUp(p, s, best.voice) {
			return nil
		}
		return best
	}
	if len(p.blocks[best.block]) > room {
		return nil
	}
	return best
}

func (e *Engine) mappedBlock(p *partState, s *slot, room int) *head {
	i := e.mapped(p, s)
	for n := range e.heads {
		h := &e.heads[n]
		if p.inBlock(h, i) && e.freeBlock(p, h) && len(p.blocks[h.block]) <= room {
			return h
		}
	}
	return nil
}

func (p *partState) inBlock(h *head, i int32) bool {
	return slices.Contains(p.blocks[h.block], i)
}

// takesBlock tells whether the part may take a block that sounds.
func (e *Engine) takesBlock(p *partState, h *head) bool {
	if p.Steal == StealNone || p.Steal == StealHardNone {
		return false
	}
	for _, i := range p.blocks[h.block] {
		if e.voices[i].state > Tail && !e.mayTakeFrom(p, e.parts[e.voices[i].part].shelf) {
			return false
		}
	}
	return true
}
