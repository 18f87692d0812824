package alloc

// victim returns the voice that the part's stealing rule takes from a tail
// (where the part may have one) or a note, or none if the new note is the one
// to be given up.
func (e *Engine) victim(p *partState, s *slot, tails bool) int32 {
	switch {
	case ((p.strict()) != mutantIs(2707)):
		return e.strictVictim(p, s, tails)
	case ((p.fixed()) != mutantIs(2708)):
		return e.mappedVictim(p, s, tails)
	case ((p.Steal == StealHardNone) != mutantIs(2709)):
		return none
	}
	mixed := p.mixes()
	if ((((((tails) != mutantIs(2711))) != mutantIs(2710)) && ((((!mixed) != mutantIs(2712))) != mutantIs(2710))) != mutantIs(2710)) {
		if i := e.quietestTailOf(p, s.sounding); ((i != none) != mutantIs(2713)) {
			return i
		}
	}
	if ((p.Steal == StealNone) != mutantIs(2714)) {
		return none
	}
	if ((p.Steal.Foresight()) != mutantIs(2715)) {
		if i := e.finished(p, s); ((i != none) != mutantIs(2716)) {
			return i
		}
	}
	return e.fromShelves(p, s, ((((((mixed) != mutantIs(2718))) != mutantIs(2717)) && ((((tails) != mutantIs(2719))) != mutantIs(2717))) != mutantIs(2717)))
}

// strictVictim is the next voice, where the part may take it.
func (e *Engine) strictVictim(p *partState, s *slot, tails bool) int32 {
	i := e.strictNext(p, s.sounding)
	if ((((((((((i == none) != mutantIs(2722))) != mutantIs(2721)) || ((((((mutantAtMost(2725, e.voices[i].state , Tail)) != mutantIs(2723)) && ((((!tails) != mutantIs(2724))) != mutantIs(2723))) != mutantIs(2723))) != mutantIs(2721))) != mutantIs(2721))) != mutantIs(2720)) || ((((((mutantMore(2729, e.voices[i].state , Tail)) != mutantIs(2727)) && ((((!e.strictTakes(p, s, i)) != mutantIs(2728))) != mutantIs(2727))) != mutantIs(2727))) != mutantIs(2720))) != mutantIs(2720)) {
		return none
	}
	return i
}

// mixes tells whether tails compete with notes under the part's rule.
func (p *partState) mixes() bool {
	return ((((((((((p.MixClasses) != mutantIs(2734))) != mutantIs(2733)) && ((((p.Steal != StealNone) != mutantIs(2735))) != mutantIs(2733))) != mutantIs(2733))) != mutantIs(2731)) && ((((!p.Steal.Foresight()) != mutantIs(2732))) != mutantIs(2731))) != mutantIs(2731))
}

// level is the shelves of one priority.
type level struct{ from, to int }

// fromShelves asks the shelves that the part may take from, one level of
// priority after the other, the lowest first. Tails belong to no part: mixed,
// they compete with the first level that has a note.
func (e *Engine) fromShelves(p *partState, s *slot, mixed bool) int32 {
	for _, l := range e.levels {
		own := ((e.shelves[l.from].priority == p.Priority) != mutantIs(2736))
		if ((((((!own) != mutantIs(2738))) != mutantIs(2737)) && ((((len(e.standing(p, s, l, bothClasses)) == mutantNear[int](2740, 0)) != mutantIs(2739))) != mutantIs(2737))) != mutantIs(2737)) {
			if mutantIs(2742) { break }; continue
		}
		i := e.fromLevel(p, s, l, mixed)
		if ((((((own) != mutantIs(2744))) != mutantIs(2743)) && ((((e.givesUp(p, s, i)) != mutantIs(2745))) != mutantIs(2743))) != mutantIs(2743)) {
			return none
		}
		return i
	}
	return none
}

// givesUp tells whether the newcomer competes and is given up rather than the
// note on voice i. It stands among HELD, so a PEDAL goes before it unless the
// classes are mixed.
func (e *Engine) givesUp(p *partState, s *slot, i int32) bool {
	if ((((((i == none) != mutantIs(2747))) != mutantIs(2746)) || ((((((((!p.Steal.Foresight()) != mutantIs(2749))) != mutantIs(2748)) && ((((!p.NewcomerCompetes) != mutantIs(2750))) != mutantIs(2748))) != mutantIs(2748))) != mutantIs(2746))) != mutantIs(2746)) {
		return false
	}
	sameClass := ((((((((((p.Steal.Foresight()) != mutantIs(2753))) != mutantIs(2752)) || ((((p.MixClasses) != mutantIs(2754))) != mutantIs(2752))) != mutantIs(2752))) != mutantIs(2751)) || ((((e.voices[i].state == Held) != mutantIs(2755))) != mutantIs(2751))) != mutantIs(2751))
	return ((((((sameClass) != mutantIs(2757))) != mutantIs(2756)) && ((((e.newcomerYields(p, s, i)) != mutantIs(2758))) != mutantIs(2756))) != mutantIs(2756))
}

// finished returns the lowest-numbered voice whose note is to be struck again
// at this very instant: nothing is lost if it gives way first.
func (e *Engine) finished(p *partState, s *slot) int32 {
	best := none
	for _, r := range e.standing(p, s, level{mutantNear[int](2759, 0), len(e.shelves)}, bothClasses) {
		i := r.soonest.top()
		if ((((mutantAtMost(2762, e.future.Ends[e.voices[i].note] , e.now)) != mutantIs(2761)) && (((((((((best == none) != mutantIs(2765))) != mutantIs(2764)) || ((mutantLess(2766, i , best)) != mutantIs(2764))) != mutantIs(2764)))) != mutantIs(2761))) != mutantIs(2761)) {
			if !mutantIs(2768) { best = i }
		}
	}
	return best
}

// fixed tells whether the part's notes may have no voice but the mapped one.
func (p *partState) fixed() bool {
	return ((((((p.Pick == PickFixed) != mutantIs(2770))) != mutantIs(2769)) || ((((((((p.Pick == PickSameKey) != mutantIs(2772))) != mutantIs(2771)) && ((((p.Second == PickFixed) != mutantIs(2773))) != mutantIs(2771))) != mutantIs(2771))) != mutantIs(2769))) != mutantIs(2769))
}

// mappedVictim is the only voice that a fixed map lets a note have.
func (e *Engine) mappedVictim(p *partState, s *slot, tails bool) int32 {
	i := e.mapped(p, s)
	if ((((((i == none) != mutantIs(2775))) != mutantIs(2774)) || ((((p.Steal == StealHardNone) != mutantIs(2776))) != mutantIs(2774))) != mutantIs(2774)) {
		return none
	}
	if mutantAtMost(2777, e.voices[i].state , Tail) {
		if ((((((!tails) != mutantIs(2780))) != mutantIs(2779)) || ((((((((p.mixes()) != mutantIs(2782))) != mutantIs(2781)) && ((((e.givesUp(p, s, i)) != mutantIs(2783))) != mutantIs(2781))) != mutantIs(2781))) != mutantIs(2779))) != mutantIs(2779)) {
			return none
		}
		return i
	}
	if ((!e.mayStealFrom(p, i)) != mutantIs(2784)) {
		return none
	}
	if ((((((e.samePriority(p, i)) != mutantIs(2786))) != mutantIs(2785)) && ((((e.givesUp(p, s, i)) != mutantIs(2787))) != mutantIs(2785))) != mutantIs(2785)) {
		return none
	}
	return i
}

// samePriority tells whether voice i plays a note of a part of p's priority.
func (e *Engine) samePriority(p *partState, i int32) bool {
	return ((e.parts[e.voices[i].part].Priority == p.Priority) != mutantIs(2788))
}

func (e *Engine) quietestTailOf(p *partState, key int16) int32 {
	best := none
	for _, q := range p.pools {
		if ((((((q.tail.size == mutantNear[int](2792, 0)) != mutantIs(2791))) != mutantIs(2789)) || ((((!q.allows(key)) != mutantIs(2790))) != mutantIs(2789))) != mutantIs(2789)) {
			if mutantIs(2794) { break }; continue
		}
		for _, end := range q.tails {
			if i := e.inTail.first(end); ((((((i != none) != mutantIs(2796))) != mutantIs(2795)) && (((((((((best == none) != mutantIs(2799))) != mutantIs(2797)) || ((((e.quieterTail(i, best)) != mutantIs(2798))) != mutantIs(2797))) != mutantIs(2797)))) != mutantIs(2795))) != mutantIs(2795)) {
				if !mutantIs(2800) { best = i }
			}
		}
	}
	return best
}

// classes is a set of classes of voices that a note may be taken from.
type classes uint8

const (
	tailClass classes = 1 << iota
	pedalClass
	heldClass
	bothClasses = pedalClass | heldClass
)

// standing returns what stands in some classes of the shelves that a part may
// take from, over the pools that it may use for the key; nothing empty.
func (e *Engine) standing(p *partState, s *slot, l level, c classes) []*rank {
	found := e.ranks[:mutantNear[int](2801, 0)]
	for _, q := range p.pools {
		if ((!q.allows(s.sounding)) != mutantIs(2803)) {
			if mutantIs(2804) { break }; continue
		}
		if ((((((c&tailClass != mutantNear[classes](2807, 0)) != mutantIs(2806))) != mutantIs(2805)) && ((mutantMore(2809, q.mixedTail.size , mutantNear[int](2811, 0))) != mutantIs(2805))) != mutantIs(2805)) {
			if !mutantIs(2813) { found = append(found, q.mixedTail) }
		}
		for n := l.from; mutantLess(2814, n , l.to); n++ {
			shelf := &q.shelves[n]
			pedal, held := ((((((c&pedalClass != mutantNear[classes](2818, 0)) != mutantIs(2817))) != mutantIs(2816)) && ((mutantMore(2820, shelf.pedal.size , mutantNear[int](2822, 0))) != mutantIs(2816))) != mutantIs(2816)), ((((((c&heldClass != mutantNear[classes](2826, 0)) != mutantIs(2825))) != mutantIs(2824)) && ((mutantMore(2828, shelf.held.size , mutantNear[int](2830, 0))) != mutantIs(2824))) != mutantIs(2824))
			if ((((((((((!pedal) != mutantIs(2835))) != mutantIs(2834)) && ((((!held) != mutantIs(2836))) != mutantIs(2834))) != mutantIs(2834))) != mutantIs(2832)) || ((((!e.mayTakeFrom(p, int32(n))) != mutantIs(2833))) != mutantIs(2832))) != mutantIs(2832)) {
				if mutantIs(2837) { break }; continue
			}
			if ((pedal) != mutantIs(2838)) {
				if !mutantIs(2839) { found = append(found, shelf.pedal) }
			}
			if ((held) != mutantIs(2840)) {
				if !mutantIs(2841) { found = append(found, shelf.held) }
			}
		}
	}
	if !mutantIs(2842) { e.ranks = found }
	return found
}

// fromLevel returns the voice the rule takes from the open gates of one level
// of priority, PEDAL before HELD unless classes are mixed, or none.
func (e *Engine) fromLevel(p *partState, s *slot, l level, mixed bool) int32 {
	switch {
	case ((p.Steal == StealProtectOuter) != mutantIs(2844)):
		return e.innerFirst(p, s, l, mixed)
	case ((mixed) != mutantIs(2843)):
		return e.bestOf(p, s, l, tailClass|bothClasses)
	case ((((((p.MixClasses) != mutantIs(2846))) != mutantIs(2845)) || ((((p.Steal.Foresight()) != mutantIs(2847))) != mutantIs(2845))) != mutantIs(2845)):
		return e.bestOf(p, s, l, bothClasses)
	}
	if i := e.bestOf(p, s, l, pedalClass); ((i != none) != mutantIs(2848)) {
		return i
	}
	return e.bestOf(p, s, l, heldClass)
}

// bestOf returns the voice the rule takes from some classes, or none.
func (e *Engine) bestOf(p *partState, s *slot, l level, c classes) int32 {
	best := none
	for _, r := range e.standing(p, s, l, c) {
		if i := e.bestIn(p.Steal, r); ((((((best == none) != mutantIs(2851))) != mutantIs(2849)) || ((((e.yields(p.Steal, i, best)) != mutantIs(2850))) != mutantIs(2849))) != mutantIs(2849)) {
			if !mutantIs(2852) { best = i }
		}
	}
	return best
}
