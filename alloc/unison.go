package alloc

import "slices"

// equipUnison prepares what a part's unison needs.
func (e *Engine) equipUnison(p *partState) {
	u := &p.Unison
	p.detunes = len(u.ByVoice) > 0 || u.Voices > 1 && len(u.Detune) > 0
	if !u.Several() {
		return
	}
	e.unisons = true
	e.regrows = e.regrows || u.WhenShort == Elastic && u.Regrow
	e.waits = e.waits || p.WaitsFor() > 0
	e.patient = e.patient || p.WaitsFor() > 0 && p.Steal == StealHardNone
	if u.WhenShort == Blocks {
		p.blocks = e.blocksOf(p)
	}
}

// blocksOf groups the voices of a part's banks, those out of service included,
// by n in ascending number. A remainder stays idle, and so does a block
// without a voice in service.
func (e *Engine) blocksOf(p *partState) [][]int32 {
	var blocks [][]int32
	if p.Unison.Blocks != nil {
		return e.given(p.Unison.Blocks)
	}
	n, inBlock := 0, []int32{}
	for i := range e.rack {
		if !slices.Contains(p.Banks, e.rack[i].Bank) || e.rack[i].State == Spare {
			continue
		}
		if e.rack[i].State.InService() {
			inBlock = append(inBlock, int32(i))
		}
		if n++; n == p.Unison.Voices {
			if len(inBlock) > 0 {
				blocks = append(blocks, inBlock)
			}
			n, inBlock = 0, []int32{}
		}
	}
	return blocks
}

// given keeps of blocks what is in service, in ascending order.
func (e *Engine) given(groups [][]int) [][]int32 {
	var blocks [][]int32
	for _, group := range groups {
		var block []int32
		for _, i := range group {
			if e.voices[i].pool != nil {
				block = append(block, int32(i))
			}
		}
		if len(block) > 0 {
			slices.Sort(block)
			blocks = append(blocks, block)
		}
	}
	slices.SortFunc(blocks, func(a, b []int32) int { return int(a[0] - b[0]) })
	return blocks
}

// openUnison gives a note several voices.
func (e *Engine) openUnison(p *partState, s *slot, si int32) {
	e.grabbed = e.grabbed[:0]
	cause := e.cause(p, s)
	e.outerKeys(p, s) // as they are before the first voice is taken
	switch p.Unison.WhenShort {
	case Blocks:
		e.grabBlock(p, s)
	case Thin:
		e.grabThin(p, s)
	case Wait:
		if !e.grabAll(p, s) {
			s.waiting = true
			p.waiting = append(p.waiting, si)
			e.deny(Defer, p, s, cause)
			return
		}
	case Elastic:
		e.grabShare(p, s)
	}
	if len(e.grabbed) == 0 {
		e.drop(p, s, cause)
		return
	}
	e.soundAll(p, s, si, cause)
}

// grabMore grabs a voice and puts the decision about it aside.
func (e *Engine) grabMore(p *partState, s *slot, i int32) {
	cut := e.voices[i].slot // none where its gate is low
	e.grabbed = append(e.grabbed, grabbed{*e.grab(p, s, i), cut})
}

// grabbed is a voice on its way to a note.
type grabbed struct {
	decision Decision
	cut      int32 // slot of the note that it was taken from; none
}

// soundAll starts a note on all the voices grabbed for it. Positions follow the
// numbers of the voices.
func (e *Engine) soundAll(p *partState, s *slot, si int32, cause Cause) {
	slices.SortFunc(e.grabbed, func(a, b grabbed) int { return int(a.decision.Voice - b.decision.Voice) })
	s.voices = int16(len(e.grabbed))
	next := none
	for n := len(e.grabbed) - 1; n >= 0; n-- {
		v := &e.voices[e.grabbed[n].decision.Voice]
		v.position, v.mate = int16(n), next
		next = e.grabbed[n].decision.Voice
	}
	s.voice = next
	for n := range e.grabbed {
		g := &e.grabbed[n]
		e.decision = g.decision
		if g.cut != none {
			e.decision.CutLeft, e.decision.Cause = e.slots[g.cut].voices, cause
		}
		e.sound(p, s, si, g.decision.Voice)
	}
	p.pointer = e.grabbed[len(e.grabbed)-1].decision.Voice
}

// grabThin grabs as many voices as there are, up to the unison; if there is
// none, those of the note that the stealing rule gives up.
func (e *Engine) grabThin(p *partState, s *slot) {
	e.grabSilent(p, s, p.Unison.Voices)
	if len(e.grabbed) > 0 {
		return
	}
	if i := e.victim(p, s, false); i != none {
		e.grabNote(p, s, e.voices[i].slot)
	}
}

// grabSilent grabs candidates by the picking rule, then tails, the quietest
// first, up to n and the part's room.
func (e *Engine) grabSilent(p *partState, s *slot, n int) {
	for n = min(n, e.room(p, s.sounding)); n > 0; n-- {
		i := e.silentVoice(p, s)
		if i == none {
			return
		}
		e.grabMore(p, s, i)
	}
}

// silentVoice returns the next voice that takes nothing from a note, or none.
func (e *Engine) silentVoice(p *partState, s *slot) int32 {
	i := e.choose(p, s)
	switch {
	case i != none && e.voices[i].state <= Tail:
		return i
	case p.Steal == StealHardNone || p.strict():
		return none
	case p.fixed():
		if i = e.mapped(p, s); i != none && e.voices[i].state <= Tail {
			return i
		}
		return none
	}
	return e.quietestTailOf(p, s.sounding)
}

// grabNote grabs the voices of a note that the part may use: as many as its
// unison takes, and reserves and limits let it have.
func (e *Engine) grabNote(p *partState, s *slot, victim int32) {
	n := p.Unison.Voices
	if q := &e.parts[e.slots[victim].part]; q != p {
		if q.counted() {
			n = min(n, q.used()-q.Reserve)
		}
		if p.Limit > 0 {
			n = min(n, p.Limit-p.used())
		}
	}
	var all []int32
	for i := e.slots[victim].voice; i != none; i = e.voices[i].mate {
		if e.mayUse(p, s, i) {
			all = append(all, i)
		}
	}
	slices.Sort(all)
	for _, i := range all[:min(n, len(all))] {
		e.grabMore(p, s, i)
	}
}

// mayUse tells whether a voice is one of the part's, for this key.
func (e *Engine) mayUse(p *partState, s *slot, i int32) bool {
	q := e.voices[i].pool
	return q != nil && slices.Contains(p.pools, q) && q.allows(s.sounding)
}
