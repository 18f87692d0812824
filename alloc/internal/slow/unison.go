package slow

import (
	"slices"

	"choirloft/alloc"
)

// block is the fixed group of voices in service that the part takes together
// with a voice, ascending: that voice alone without blocks. Unless the part
// names them, of one voice too, its voices are grouped in ascending number, those out of
// service among them, but no spares; a remainder stays idle.
func (p *pool) block(part alloc.Part, voice int) []int {
	if part.Unison.WhenShort != alloc.Blocks || part.Unison.Voices < 2 && len(part.Unison.Blocks) == 0 {
		return []int{voice}
	}
	for _, group := range p.groups(part) {
		if slices.Contains(group, voice) {
			return keep(group, func(v int) bool { return serves(p.voices[v]) })
		}
	}
	return nil
}

// groups are the blocks of a part, as given or counted off.
func (p *pool) groups(part alloc.Part) [][]int {
	if len(part.Unison.Blocks) > 0 {
		var groups [][]int
		for _, group := range part.Unison.Blocks {
			groups = append(groups, slices.Sorted(slices.Values(group)))
		}
		return groups
	}
	var own []int
	for i, v := range p.voices {
		if p.inBanks(part, i) && v.State != alloc.Spare {
			own = append(own, i)
		}
	}
	n := part.Unison.Voices
	return slices.Collect(slices.Chunk(own[:len(own)-len(own)%n], n))
}

// representative is the voice that a block is judged by: the lowest of those
// in the highest state.
func (p *pool) representative(block []int) int {
	found := block[0]
	for _, v := range block {
		if p.voices[v].state > p.voices[found].state {
			found = v
		}
	}
	return found
}

// waits tells whether the part lets a note wait that finds too few voices.
func (p *pool) waits(note int) bool {
	u := p.cfg.Parts[p.gates[note].Part].Unison
	_, outOfWindow := p.usable(note)
	return u.Voices > 1 && u.WhenShort == alloc.Wait && !outOfWindow
}

// choose finds the voices for a note that starts, or none, and the cause.
func (p *pool) choose(note int) ([]int, alloc.Cause) {
	part := p.gates[note].Part
	usable, outOfWindow := p.usable(note)
	if outOfWindow {
		return nil, alloc.CauseRange
	}
	cause := p.cause(part, usable)
	u := p.cfg.Parts[part].Unison
	switch {
	case u.Voices < 2 || u.WhenShort == alloc.Blocks:
		return p.one(note, usable), cause
	case u.WhenShort == alloc.Thin:
		if got := p.upTo(u.Voices, note, usable); len(got) > 0 {
			return got, cause
		}
		return p.allOfOne(u.Voices, note, usable), cause
	case u.WhenShort == alloc.Wait:
		return p.allOrNothing(note, usable), cause
	}
	return p.elastic(note, usable), cause
}

// one picks or steals one voice, or one block.
func (p *pool) one(note int, usable []int) []int {
	n := p.gates[note].Part
	part := p.cfg.Parts[n]
	room := p.room(n, usable)
	units := p.units(part, usable)
	affordable := func(rep int) bool { return len(p.block(part, rep)) <= room }
	v := p.pick(part, part.Pick, note, units, affordable)
	if v == alloc.NoVoice {
		v = p.steal(part, note, keep(p.victims(part, note, units), func(rep int) bool {
			return !p.voices[rep].sounds() && affordable(rep) || p.voices[rep].sounds() && p.mayCutAll(n, p.block(part, rep))
		}))
	}
	if v == alloc.NoVoice {
		return nil
	}
	return p.block(part, v)
}

// mayCutAll tells whether the part may take every voice of a block that sounds.
func (p *pool) mayCutAll(part int, block []int) bool {
	for _, v := range block {
		if p.voices[v].sounds() && !p.mayCut(part, v) {
			return false
		}
	}
	return true
}

// units are the representatives of what the part takes as one: blocks that it
// may use in every voice, or single voices.
func (p *pool) units(part alloc.Part, usable []int) []int {
	var units []int
	for _, v := range usable {
		block := p.block(part, v)
		all := len(block) > 0
		for _, w := range block {
			all = all && slices.Contains(usable, w)
		}
		if all && block[0] == v {
			units = append(units, p.representative(block))
		}
	}
	slices.Sort(units)
	return units
}

// upTo picks one voice after the other, then tails, the quietest first: no
// more than n, and no more than there is room for.
func (p *pool) upTo(n, note int, usable []int) []int {
	was, pointer := slices.Clone(p.voices), slices.Clone(p.pointer)
	part := p.cfg.Parts[p.gates[note].Part]
	n = min(n, p.room(p.gates[note].Part, usable))
	var got []int
	for len(got) < n {
		left := keep(usable, func(v int) bool { return !slices.Contains(got, v) })
		v := p.pick(part, part.Pick, note, left, anyVoice)
		if v == alloc.NoVoice && part.Steal != alloc.StealHardNone {
			v = p.quietestTail(p.inState(p.victims(part, note, left), alloc.Tail))
		}
		if v == alloc.NoVoice {
			break
		}
		got = append(got, v)
		p.voices[v].state = alloc.Held // for the time being: it is not free any more
		p.pointer[p.gates[note].Part] = v
	}
	p.voices, p.pointer = was, pointer
	return got
}

// allOrNothing picks all the voices of a note that may have to wait, if its
// rules give it so many now. Under a fixed map that is the one for its key.
func (p *pool) allOrNothing(note int, usable []int) []int {
	part := p.cfg.Parts[p.gates[note].Part]
	n := part.Unison.Voices
	if part.Pick == alloc.PickFixed || part.Pick == alloc.PickSameKey && part.Second == alloc.PickFixed {
		n = 1
	}
	rng, doubt := slices.Clone(p.rng), p.doubt
	got := p.upTo(n, note, usable)
	if len(got) < n {
		p.rng, p.doubt = rng, doubt
		return nil
	}
	return got
}

func anyVoice(int) bool { return true }

// allOfOne steals a voice, and with it all that its note has and the part may
// use: at most n, and no more than reserves and limits let it have.
func (p *pool) allOfOne(n, note int, usable []int) []int {
	number := p.gates[note].Part
	part := p.cfg.Parts[number]
	v := p.steal(part, note, keep(p.victims(part, note, usable), func(v int) bool { return p.mayCut(number, v) }))
	if v == alloc.NoVoice {
		return nil
	}
	if q := p.gates[p.voices[v].note].Part; q != number {
		n = min(n, p.uses(q)-p.cfg.Parts[q].Reserve)
		if part.Limit > 0 {
			n = min(n, part.Limit-p.uses(number))
		}
	}
	all := keep(usable, func(w int) bool { return p.voices[w].sounds() && p.voices[w].note == p.voices[v].note })
	return all[:min(n, len(all))]
}

// dropWaiting drops a note that waits when its key goes up first, and tells
// whether it did wait.
func (p *pool) dropWaiting(note int) bool {
	part := p.gates[note].Part
	at := slices.Index(p.waiting[part], note)
	if at < 0 {
		return false
	}
	p.waiting[part] = slices.Delete(p.waiting[part], at, at+1)
	p.drop(note, p.whyNone(note))
	return true
}

// whyNone is the cause for a note that waits.
func (p *pool) whyNone(note int) alloc.Cause {
	usable, outOfWindow := p.usable(note)
	if outOfWindow {
		return alloc.CauseRange
	}
	return p.cause(p.gates[note].Part, usable)
}

// tryWaiting tries the notes that wait again, in order of age, the parts in
// their order, until none starts any more.
func (p *pool) tryWaiting() {
	for started := true; started; {
		started = false
		for part := range p.waiting {
			for _, note := range slices.Clone(p.waiting[part]) {
				if voices, cause := p.choose(note); len(voices) > 0 {
					p.waiting[part] = keep(p.waiting[part], func(n int) bool { return n != note })
					p.take(note, voices, cause)
					started = true
				}
			}
		}
	}
}
