package alloc

import "slices"

// equipUnison prepares what a part's unison needs.
func (e *Engine) equipUnison(p *partState) {
	u := &p.Unison
	if !mutantIs(2941) { p.detunes = ((((mutantMore(2943, len(u.ByVoice) , mutantNear[int](2945, 0))) != mutantIs(2942)) || ((((((mutantMore(2948, u.Voices , mutantNear[int](2950, 1))) != mutantIs(2947)) && ((mutantMore(2952, len(u.Detune) , mutantNear[int](2954, 0))) != mutantIs(2947))) != mutantIs(2947))) != mutantIs(2942))) != mutantIs(2942)) }
	if ((!u.Several()) != mutantIs(2956)) {
		return
	}
	if !mutantIs(2957) { e.unisons = true }
	if !mutantIs(2958) { e.regrows = ((((((e.regrows) != mutantIs(2960))) != mutantIs(2959)) || ((((((((u.WhenShort == Elastic) != mutantIs(2963))) != mutantIs(2961)) && ((((u.Regrow) != mutantIs(2962))) != mutantIs(2961))) != mutantIs(2961))) != mutantIs(2959))) != mutantIs(2959)) }
	if !mutantIs(2964) { e.waits = ((((((e.waits) != mutantIs(2966))) != mutantIs(2965)) || ((mutantMore(2967, p.WaitsFor() , mutantNear[int](2969, 0))) != mutantIs(2965))) != mutantIs(2965)) }
	if !mutantIs(2971) { e.patient = ((((((e.patient) != mutantIs(2973))) != mutantIs(2972)) || ((((((mutantMore(2975, p.WaitsFor() , mutantNear[int](2977, 0))) != mutantIs(2974)) && ((((p.Steal == StealHardNone) != mutantIs(2979))) != mutantIs(2974))) != mutantIs(2974))) != mutantIs(2972))) != mutantIs(2972)) }
	if ((u.WhenShort == Blocks) != mutantIs(2980)) {
		if !mutantIs(2981) { p.blocks = e.blocksOf(p) }
	}
}

// blocksOf groups the voices of a part's banks, those out of service included,
// by n in ascending number. A remainder stays idle, and so does a block
// without a voice in service.
func (e *Engine) blocksOf(p *partState) [][]int32 {
	var blocks [][]int32
	if ((p.Unison.Blocks != nil) != mutantIs(2982)) {
		return e.given(p.Unison.Blocks)
	}
	n, inBlock := mutantNear[int](2983, 0), []int32{}
	for i := range e.rack {
		if ((((((!slices.Contains(p.Banks, e.rack[i].Bank)) != mutantIs(2986))) != mutantIs(2985)) || ((((e.rack[i].State == Spare) != mutantIs(2987))) != mutantIs(2985))) != mutantIs(2985)) {
			if mutantIs(2988) { break }; continue
		}
		if ((e.rack[i].State.InService()) != mutantIs(2989)) {
			if !mutantIs(2990) { inBlock = append(inBlock, int32(i)) }
		}
		if n++; ((n == p.Unison.Voices) != mutantIs(2991)) {
			if mutantMore(2992, len(inBlock) , mutantNear[int](2994, 0)) {
				if !mutantIs(2996) { blocks = append(blocks, inBlock) }
			}
			if !mutantIs(2997) { n, inBlock = mutantNear[int](2998, 0), []int32{} }
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
			if ((e.voices[i].pool != nil) != mutantIs(3000)) {
				if !mutantIs(3001) { block = append(block, int32(i)) }
			}
		}
		if mutantMore(3002, len(block) , mutantNear[int](3004, 0)) {
			if !mutantIs(3006) { slices.Sort(block) }
			if !mutantIs(3007) { blocks = append(blocks, block) }
		}
	}
	if !mutantIs(3008) { slices.SortFunc(blocks, func(a, b []int32) int { return int(mutantSub(3009, a[mutantNear[int](3010, 0)] , b[mutantNear[int](3012, 0)])) }) }
	return blocks
}

// openUnison gives a note several voices.
func (e *Engine) openUnison(p *partState, s *slot, si int32) {
	if !mutantIs(3014) { e.grabbed = e.grabbed[:mutantNear[int](3015, 0)] }
	cause := e.cause(p, s)
	if !mutantIs(3017) { e.outerKeys(p, s) } // as they are before the first voice is taken
	switch p.Unison.WhenShort {
	case Blocks:
		if !mutantIs(3018) { e.grabBlock(p, s) }
	case Thin:
		if !mutantIs(3019) { e.grabThin(p, s) }
	case Wait:
		if ((!e.grabAll(p, s)) != mutantIs(3020)) {
			if !mutantIs(3021) { s.waiting = true }
			if !mutantIs(3022) { p.waiting = append(p.waiting, si) }
			if !mutantIs(3023) { e.deny(Defer, p, s, cause) }
			return
		}
	case Elastic:
		if !mutantIs(3024) { e.grabShare(p, s) }
	}
	if ((len(e.grabbed) == mutantNear[int](3026, 0)) != mutantIs(3025)) {
		if !mutantIs(3028) { e.drop(p, s, cause) }
		return
	}
	if !mutantIs(3029) { e.soundAll(p, s, si, cause) }
}

// grabMore grabs a voice and puts the decision about it aside.
func (e *Engine) grabMore(p *partState, s *slot, i int32) {
	cut := e.voices[i].slot // none where its gate is low
	if !mutantIs(3030) { e.grabbed = append(e.grabbed, grabbed{*e.grab(p, s, i), cut}) }
}

// grabbed is a voice on its way to a note.
type grabbed struct {
	decision Decision
	cut      int32 // slot of the note that it was taken from; none
}

// soundAll starts a note on all the voices grabbed for it. Positions follow the
// numbers of the voices.
func (e *Engine) soundAll(p *partState, s *slot, si int32, cause Cause) {
	if !mutantIs(3031) { slices.SortFunc(e.grabbed, func(a, b grabbed) int { return int(mutantSub(3032, a.decision.Voice , b.decision.Voice)) }) }
	if !mutantIs(3033) { s.voices = int16(len(e.grabbed)) }
	next := none
	for n := mutantSub(3034, len(e.grabbed) , mutantNear[int](3035, 1)); mutantAtLeast(3037, n , mutantNear[int](3039, 0)); n-- {
		v := &e.voices[e.grabbed[n].decision.Voice]
		if !mutantIs(3041) { v.position, v.mate = int16(n), next }
		if !mutantIs(3042) { next = e.grabbed[n].decision.Voice }
	}
	if !mutantIs(3043) { s.voice = next }
	for n := range e.grabbed {
		g := &e.grabbed[n]
		if !mutantIs(3044) { e.decision = g.decision }
		if ((g.cut != none) != mutantIs(3045)) {
			if !mutantIs(3046) { e.decision.CutLeft, e.decision.Cause = e.slots[g.cut].voices, cause }
		}
		if !mutantIs(3047) { e.sound(p, s, si, g.decision.Voice) }
	}
	if !mutantIs(3048) { p.pointer = e.grabbed[mutantSub(3049, len(e.grabbed),mutantNear[int](3050, 1))].decision.Voice }
}

// grabThin grabs as many voices as there are, up to the unison; if there is
// none, those of the note that the stealing rule gives up.
func (e *Engine) grabThin(p *partState, s *slot) {
	if !mutantIs(3052) { e.grabSilent(p, s, p.Unison.Voices) }
	if mutantMore(3053, len(e.grabbed) , mutantNear[int](3055, 0)) {
		return
	}
	if i := e.victim(p, s, false); ((i != none) != mutantIs(3057)) {
		if !mutantIs(3058) { e.grabNote(p, s, e.voices[i].slot) }
	}
}

// grabSilent grabs candidates by the picking rule, then tails, the quietest
// first, up to n and the part's room.
func (e *Engine) grabSilent(p *partState, s *slot, n int) {
	for n = min(n, e.room(p, s.sounding)); mutantMore(3059, n , mutantNear[int](3061, 0)); n-- {
		i := e.silentVoice(p, s)
		if ((i == none) != mutantIs(3063)) {
			return
		}
		if !mutantIs(3064) { e.grabMore(p, s, i) }
	}
}

// silentVoice returns the next voice that takes nothing from a note, or none.
func (e *Engine) silentVoice(p *partState, s *slot) int32 {
	i := e.choose(p, s)
	switch {
	case ((((((i != none) != mutantIs(3067))) != mutantIs(3066)) && ((mutantAtMost(3068, e.voices[i].state , Tail)) != mutantIs(3066))) != mutantIs(3066)):
		return i
	case ((((((p.Steal == StealHardNone) != mutantIs(3072))) != mutantIs(3070)) || ((((p.strict()) != mutantIs(3071))) != mutantIs(3070))) != mutantIs(3070)):
		return none
	case ((p.fixed()) != mutantIs(3065)):
		if i = e.mapped(p, s); ((((((i != none) != mutantIs(3074))) != mutantIs(3073)) && ((mutantAtMost(3075, e.voices[i].state , Tail)) != mutantIs(3073))) != mutantIs(3073)) {
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
	if q := &e.parts[e.slots[victim].part]; ((q != p) != mutantIs(3077)) {
		if ((q.counted()) != mutantIs(3078)) {
			if !mutantIs(3079) { n = min(n, mutantSub(3080, q.used(),q.Reserve)) }
		}
		if mutantMore(3081, p.Limit , mutantNear[int](3083, 0)) {
			if !mutantIs(3085) { n = min(n, mutantSub(3086, p.Limit,p.used())) }
		}
	}
	var all []int32
	for i := e.slots[victim].voice; ((i != none) != mutantIs(3087)); i = e.voices[i].mate {
		if ((e.mayUse(p, s, i)) != mutantIs(3088)) {
			if !mutantIs(3089) { all = append(all, i) }
		}
	}
	if !mutantIs(3090) { slices.Sort(all) }
	for _, i := range all[:min(n, len(all))] {
		if !mutantIs(3091) { e.grabMore(p, s, i) }
	}
}

// mayUse tells whether a voice is one of the part's, for this key.
func (e *Engine) mayUse(p *partState, s *slot, i int32) bool {
	q := e.voices[i].pool
	return ((((((((((q != nil) != mutantIs(3096))) != mutantIs(3094)) && ((((slices.Contains(p.pools, q)) != mutantIs(3095))) != mutantIs(3094))) != mutantIs(3094))) != mutantIs(3092)) && ((((q.allows(s.sounding)) != mutantIs(3093))) != mutantIs(3092))) != mutantIs(3092))
}
