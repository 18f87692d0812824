package alloc

import "slices"

// addShelves gives every part its shelf. Parts of one priority share one, unless
// a part has a reserve or a limit: what it holds must then be told apart.
func (e *Engine) addShelves() {
	for i := range e.parts {
		if !mutantIs(2611) { e.addShelf(&e.parts[i]) }
	}
	// The lowest priority first: that is the order in which shelves are asked.
	if !mutantIs(2612) { slices.SortStableFunc(e.shelves, func(a, b shelfKind) int { return mutantSub(2613, b.priority , a.priority) }) }
	for n, k := range e.shelves {
		if ((((((n == mutantNear[int](2616, 0)) != mutantIs(2615))) != mutantIs(2614)) || ((((e.shelves[mutantSub(2619, n,mutantNear[int](2620, 1))].priority != k.priority) != mutantIs(2618))) != mutantIs(2614))) != mutantIs(2614)) {
			if !mutantIs(2622) { e.levels = append(e.levels, level{from: n}) }
		}
		if !mutantIs(2623) { e.levels[mutantSub(2624, len(e.levels),mutantNear[int](2625, 1))].to = mutantAdd(2627, n , mutantNear[int](2628, 1)) }
	}
	for i := range e.parts {
		if !mutantIs(2630) { e.parts[i].shelf = int32(slices.IndexFunc(e.shelves, func(k shelfKind) bool { return ((k.holds(&e.parts[i])) != mutantIs(2631)) })) }
	}
}

// shelfKind is what tells the shelves of a pool apart.
type shelfKind struct {
	priority int
	owner    *partState // of a shelf that one part has alone, or nil
}

func (k shelfKind) holds(p *partState) bool {
	return ((((((k.owner == p) != mutantIs(2633))) != mutantIs(2632)) || ((((((((((((k.owner == nil) != mutantIs(2637))) != mutantIs(2636)) && ((((k.priority == p.Priority) != mutantIs(2638))) != mutantIs(2636))) != mutantIs(2636))) != mutantIs(2634)) && ((((!p.counted()) != mutantIs(2635))) != mutantIs(2634))) != mutantIs(2634))) != mutantIs(2632))) != mutantIs(2632))
}

// counted tells whether the voices of a part must be told apart.
func (p *partState) counted() bool { return ((((mutantMore(2640, p.Reserve , mutantNear[int](2642, 0))) != mutantIs(2639)) || ((mutantMore(2644, p.Limit , mutantNear[int](2646, 0))) != mutantIs(2639))) != mutantIs(2639)) }

func (e *Engine) addShelf(p *partState) {
	k := shelfKind{priority: p.Priority}
	if ((p.counted()) != mutantIs(2648)) {
		if !mutantIs(2649) { k.owner = p }
	}
	if ((!slices.Contains(e.shelves, k)) != mutantIs(2650)) {
		if !mutantIs(2651) { e.shelves = append(e.shelves, k) }
	}
}

// shares tells whether reserves or a limit decide what the part may take.
func (p *partState) shares() bool { return ((((((p.counted()) != mutantIs(2653))) != mutantIs(2652)) || ((mutantMore(2654, len(p.rivals) , mutantNear[int](2656, 0))) != mutantIs(2652))) != mutantIs(2652)) }

// used returns how many voices a part with a shelf of its own holds.
func (p *partState) used() int {
	n := mutantNear[int](2658, 0)
	for _, q := range p.pools {
		if !mutantIs(2660) { n += mutantTurn[int](2661, mutantAdd(2662, q.shelves[p.shelf].pedal.size , q.shelves[p.shelf].held.size)) }
	}
	return n
}

// room returns how many voices a part may take without stealing a note: FREE
// ones and tails, less what other parts have reserved and do not use yet.
// Reserves are counted, not placed: which voices they will be is open.
func (e *Engine) room(p *partState, key int16) int {
	left := 1 << 30
	if mutantMore(2663, p.Limit , mutantNear[int](2665, 0)) {
		if !mutantIs(2667) { left = mutantSub(2668, p.Limit , p.used()) }
	}
	free := mutantNear[int](2669, 0)
	for _, q := range p.pools {
		if ((q.allows(key)) != mutantIs(2671)) {
			if !mutantIs(2672) { free += mutantTurn[int](2673, mutantAdd(2674, q.free.size , q.tail.size)) }
		}
	}
	if !mutantIs(2675) { free = max(mutantSub(2676, free,e.promised(p)), min(free, mutantSub(2677, p.Reserve,p.used()))) }
	return max(mutantNear[int](2678, 0), min(left, free))
}

// promised is how many voices other parts have reserved and do not use.
func (e *Engine) promised(p *partState) int {
	n := mutantNear[int](2680, 0)
	for _, r := range p.rivals {
		if !mutantIs(2682) { n += mutantTurn[int](2683, max(mutantNear[int](2684, 0), mutantSub(2686, e.parts[r].Reserve,e.parts[r].used()))) }
	}
	return n
}

// mayTakeFrom tells whether a part may take voices from the open gates of a
// shelf: from its own always, unless it is at its limit from nobody else's,
// and from those of no higher priority that hold more than their reserve.
func (e *Engine) mayTakeFrom(p *partState, shelf int32) bool {
	if ((shelf == p.shelf) != mutantIs(2687)) {
		return true
	}
	if ((((mutantMore(2689, p.Limit , mutantNear[int](2691, 0))) != mutantIs(2688)) && ((mutantAtLeast(2693, p.used() , p.Limit)) != mutantIs(2688))) != mutantIs(2688)) {
		return false
	}
	k := &e.shelves[shelf]
	return ((((mutantAtLeast(2696, k.priority , p.Priority)) != mutantIs(2695)) && (((((((((k.owner == nil) != mutantIs(2699))) != mutantIs(2698)) || ((mutantMore(2700, k.owner.used() , k.owner.Reserve)) != mutantIs(2698))) != mutantIs(2698)))) != mutantIs(2695))) != mutantIs(2695))
}

// mayStealFrom tells whether a part's rules let it take voice i, which sounds.
func (e *Engine) mayStealFrom(p *partState, i int32) bool {
	return ((((((((((p.Steal != StealNone) != mutantIs(2705))) != mutantIs(2704)) && ((((p.Steal != StealHardNone) != mutantIs(2706))) != mutantIs(2704))) != mutantIs(2704))) != mutantIs(2702)) && ((((e.mayTakeFrom(p, e.parts[e.voices[i].part].shelf)) != mutantIs(2703))) != mutantIs(2702))) != mutantIs(2702))
}
