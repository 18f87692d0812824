package alloc

// shares tells whether reserves or a limit decide what the part may take.
func (p *partState) shares() bool { return p.counted() || len(p.rivals) > 0 }

// used returns how many voices a part with a shelf of its own holds.
func (p *partState) used() int {
	n := 0
	for _, q := range p.pools {
		n += q.shelves[p.shelf].pedal.size + q.shelves[p.shelf].held.size
	}
	return n
}

// room returns how many voices a part may take without stealing a note: FREE
// ones and tails, less what other parts have reserved and do not use yet.
// Reserves are counted, not placed: which voices they will be is open.
func (e *Engine) room(p *partState, key int16) int {
	left := 1 << 30
	if p.Limit > 0 {
		left = p.Limit - p.used()
	}
	free := 0
	for _, q := range p.pools {
		if q.allows(key) {
			free += q.free.size + q.tail.size
		}
	}
	free = max(free-e.promised(p), min(free, p.Reserve-p.used()))
	return max(0, min(left, free))
}

// promised is how many voices other parts have reserved and do not use.
func (e *Engine) promised(p *partState) int {
	n := 0
	for _, r := range p.rivals {
		n += max(0, e.parts[r].Reserve-e.parts[r].used())
	}
	return n
}

// mayTakeFrom tells whether a part may take voices from the open gates of a
// shelf: from its own always, unless it is at its limit from nobody else's,
// and from those of no higher priority that hold more than their reserve.
func (e *Engine) mayTakeFrom(p *partState, shelf int32) bool {
	if shelf == p.shelf {
		return true
	}
	if p.Limit > 0 && p.used() >= p.Limit {
		return false
	}
	k := &e.shelves[shelf]
	return k.priority >= p.Priority && (k.owner == nil || k.owner.used() > k.owner.Reserve)
}

// mayStealFrom tells whether a part's rules let it take voice i, which sounds.
func (e *Engine) mayStealFrom(p *partState, i int32) bool {
	return p.Steal != StealNone && p.Steal != StealHardNone && e.mayTakeFrom(p, e.parts[e.voices[i].part].shelf)
}
