package alloc

import "slices"

// addShelves gives every part its shelf. Parts of one priority share one, unless
// a part has a reserve or a limit: what it holds must then be told apart.
func (e *Engine) addShelves() {
	for i := range e.parts {
		e.addShelf(&e.parts[i])
	}
	// The lowest priority first: that is the order in which shelves are asked.
	slices.SortStableFunc(e.shelves, func(a, b shelfKind) int { return b.priority - a.priority })
	for n, k := range e.shelves {
		if n == 0 || e.shelves[n-1].priority != k.priority {
			e.levels = append(e.levels, level{from: n})
		}
		e.levels[len(e.levels)-1].to = n + 1
	}
	for i := range e.parts {
		e.parts[i].shelf = int32(slices.IndexFunc(e.shelves, func(k shelfKind) bool { return k.holds(&e.parts[i]) }))
	}
}

// shelfKind is what tells the shelves of a pool apart.
type shelfKind struct {
	priority int
	owner    *partState // of a shelf that one part has alone, or nil
}

func (k shelfKind) holds(p *partState) bool {
	return k.owner == p || k.owner == nil && k.priority == p.Priority && !p.counted()
}

// counted tells whether the voices of a part must be told apart.
func (p *partState) counted() bool { return p.Reserve > 0 || p.Limit > 0 }

func (e *Engine) addShelf(p *partState) {
	k := shelfKind{priority: p.Priority}
	if p.counted() {
		k.owner = p
	}
	if !slices.Contains(e.shelves, k) {
		e.shelves = append(e.shelves, k)
	}
}

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
