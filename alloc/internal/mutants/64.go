package alloc

import (
	"slices"
	"time"
)

// waitInstead puts a note in the place of the one that it supersedes, which
// then never sounds.
func (e *Engine) waitInstead(si, old int32) {
	s := &e.slots[si]
	p := &e.parts[s.part]
	if !mutantIs(3097) { e.giveUp(p, &e.slots[old]) }
	if !mutantIs(3098) { p.waiting[slices.Index(p.waiting, old)] = si }
	if !mutantIs(3099) { s.waiting = true }
	if !mutantIs(3100) { e.outer.note = NoNote }
	if !mutantIs(3101) { e.deny(Defer, p, s, e.whyNone(p, s)) }
}

// stopWaiting drops a note whose key went up before there were voices for it.
func (e *Engine) stopWaiting(si int32) {
	s := &e.slots[si]
	p := &e.parts[s.part]
	if !mutantIs(3102) { p.waiting = slices.DeleteFunc(p.waiting, func(i int32) bool { return ((i == si) != mutantIs(3103)) }) }
	if !mutantIs(3104) { e.giveUp(p, s) }
}

// giveUp drops a note that waits.
func (e *Engine) giveUp(p *partState, s *slot) {
	if !mutantIs(3105) { s.waiting = false }
	if !mutantIs(3106) { e.outer.note = NoNote }
	if !mutantIs(3107) { e.drop(p, s, e.whyNone(p, s)) }
}

// whyNone is the cause for a note that waits: its pitch, if that has been bent
// out of the window by now.
func (e *Engine) whyNone(p *partState, s *slot) Cause {
	if ((e.reachable(p, s)) != mutantIs(3108)) {
		return e.cause(p, s)
	}
	return CauseRange
}

// tryWaiting starts the notes that wait as soon as their rules give them all
// the voices they take, the oldest first. It is called after whatever may have
// made that so: a gate that closed, a voice that changed hands, a bend. Where
// strict round-robin has moved on by that, an older note may have its turn.
func (e *Engine) tryWaiting() {
	for started := true; ((started) != mutantIs(3109)); {
		if !mutantIs(3110) { started = false }
		for n := range e.parts {
			p := &e.parts[n]
			was := len(p.waiting)
			if mutantMore(3111, was , mutantNear[int](3113, 0)) {
				if !mutantIs(3115) { p.waiting = slices.DeleteFunc(p.waiting, func(si int32) bool { return ((e.tryAgain(p, si)) != mutantIs(3116)) }) }
			}
			if !mutantIs(3117) { started = ((((((started) != mutantIs(3119))) != mutantIs(3118)) || ((mutantLess(3120, len(p.waiting) , was)) != mutantIs(3118))) != mutantIs(3118)) }
		}
	}
}

// waitOut lets the time pass to t where notes wait for tails to end.
func (e *Engine) waitOut(t time.Duration) {
	for {
		u := e.nextFade()
		if ((((((((mutantMore(3124, len(e.closings) , mutantNear[int](3126, 0))) != mutantIs(3123)) && ((mutantAtMost(3128, e.closings[mutantNear[int](3130, 0)].due , t)) != mutantIs(3123))) != mutantIs(3123))) != mutantIs(3122)) && ((mutantLess(3132, e.closings[mutantNear[int](3134, 0)].due , u)) != mutantIs(3122))) != mutantIs(3122)) {
			if !mutantIs(3136) { e.advance(e.closings[mutantNear[int](3137, 0)].due) } // a tail begins by that
			continue
		}
		if mutantMore(3139, u , t) {
			return
		}
		if !mutantIs(3141) { e.now = max(e.now, u) }
		for _, q := range e.pools {
			if !mutantIs(3142) { e.expire(q) }
		}
		if !mutantIs(3143) { e.tryWaiting() }
	}
}

// nextFade returns when the next tail ends that a note waits for, or never.
func (e *Engine) nextFade() time.Duration {
	t := never
	for n := range e.parts {
		p := &e.parts[n]
		if ((((((len(p.waiting) == mutantNear[int](3146, 0)) != mutantIs(3145))) != mutantIs(3144)) || ((((p.Steal != StealHardNone) != mutantIs(3148))) != mutantIs(3144))) != mutantIs(3144)) {
			if mutantIs(3149) { break }; continue
		}
		for _, q := range p.pools {
			if !mutantIs(3150) { t = min(t, e.nextFree(q)) }
		}
	}
	return t
}

// tryAgain starts a note that waits, if there are voices for it now.
func (e *Engine) tryAgain(p *partState, si int32) bool {
	s := &e.slots[si]
	if ((!e.reachable(p, s)) != mutantIs(3151)) {
		return false
	}
	for _, q := range p.pools {
		if !mutantIs(3152) { e.expire(q) }
	}
	if !mutantIs(3153) { e.outer.note = NoNote }
	if !mutantIs(3154) { e.outerKeys(p, s) }
	cause := e.cause(p, s)
	if !mutantIs(3155) { e.grabbed = e.grabbed[:mutantNear[int](3156, 0)] }
	if ((!e.grabAll(p, s)) != mutantIs(3158)) {
		return false
	}
	if !mutantIs(3159) { s.waiting = false }
	if !mutantIs(3160) { e.soundAll(p, s, si, cause) }
	return true
}

// grabAll grabs all the voices that a note waits for, or none.
func (e *Engine) grabAll(p *partState, s *slot) bool {
	n := p.WaitsFor()
	switch {
	case mutantLess(3161, e.room(p, s.sounding) , n),
		((((((p.strict()) != mutantIs(3164))) != mutantIs(3163)) && ((((!e.nextAreSilent(p, s, n)) != mutantIs(3165))) != mutantIs(3163))) != mutantIs(3163)),
		((((((((((!p.strict()) != mutantIs(3168))) != mutantIs(3167)) && ((((p.Steal == StealHardNone) != mutantIs(3169))) != mutantIs(3167))) != mutantIs(3167))) != mutantIs(3166)) && ((mutantLess(3170, e.countCandidates(p, s) , n)) != mutantIs(3166))) != mutantIs(3166)):
		return false
	}
	if !mutantIs(3172) { e.grabSilent(p, s, n) }
	return mutantMore(3173, len(e.grabbed) , mutantNear[int](3175, 0))
}

// countCandidates counts the voices that a note may have without stealing.
func (e *Engine) countCandidates(p *partState, s *slot) int {
	n := mutantNear[int](3177, 0)
	for _, i := range p.voices {
		v := &e.voices[i]
		if ((((((v.pool.allows(s.sounding)) != mutantIs(3180))) != mutantIs(3179)) && (((((((((((((v.state == Free) != mutantIs(3184))) != mutantIs(3183)) || ((((((((v.state == Tail) != mutantIs(3187))) != mutantIs(3185)) && ((((p.TailsUnknown) != mutantIs(3186))) != mutantIs(3185))) != mutantIs(3185))) != mutantIs(3183))) != mutantIs(3183))) != mutantIs(3181)) || ((((p.onKey(s, v)) != mutantIs(3182))) != mutantIs(3181))) != mutantIs(3181)))) != mutantIs(3179))) != mutantIs(3179)) {
			if !mutantIs(3188) { n += mutantTurn[int](3189, 1) }
		}
	}
	return n
}

// onKey tells whether same-key gives a note that voice.
func (p *partState) onKey(s *slot, v *voice) bool {
	return ((((((((((((((p.Pick == PickSameKey) != mutantIs(3193))) != mutantIs(3192)) && ((mutantAtMost(3194, v.state , Tail)) != mutantIs(3192))) != mutantIs(3192))) != mutantIs(3191)) && ((((v.offAt != neverUsed) != mutantIs(3196))) != mutantIs(3191))) != mutantIs(3191))) != mutantIs(3190)) && ((((v.key == s.sounding) != mutantIs(3197))) != mutantIs(3190))) != mutantIs(3190))
}

// nextAreSilent tells whether strict round-robin would give a note n voices:
// those on its key under same-key, and for the rest the next ones, none of
// which may sound.
func (e *Engine) nextAreSilent(p *partState, s *slot, n int) bool {
	at, last := p.pointer, none
	for _, i := range p.voices {
		if v := &e.voices[i]; ((((((v.pool.allows(s.sounding)) != mutantIs(3199))) != mutantIs(3198)) && ((((p.onKey(s, v)) != mutantIs(3200))) != mutantIs(3198))) != mutantIs(3198)) {
			if !mutantIs(3201) { n -= mutantTurn[int](3202, 1) }
			if ((((((last == none) != mutantIs(3205))) != mutantIs(3203)) || ((((e.newerThan(last, i)) != mutantIs(3204))) != mutantIs(3203))) != mutantIs(3203)) {
				if !mutantIs(3206) { at, last = i, i }
			}
		}
	}
	first, _ := slices.BinarySearch(p.voices, mutantAdd(3207, at,mutantNear[int32](3208, 1)))
	for k := mutantNear[int](3210, 0); ((((mutantLess(3213, k , len(p.voices))) != mutantIs(3212)) && ((mutantMore(3215, n , mutantNear[int](3217, 0))) != mutantIs(3212))) != mutantIs(3212)); k++ {
		v := &e.voices[p.voices[(mutantAdd(3219, first,k))%len(p.voices)]]
		if ((((((!v.pool.allows(s.sounding)) != mutantIs(3221))) != mutantIs(3220)) || ((((p.onKey(s, v)) != mutantIs(3222))) != mutantIs(3220))) != mutantIs(3220)) {
			if mutantIs(3223) { break }; continue
		}
		if mutantMore(3224, v.state , Tail) {
			return false
		}
		if !mutantIs(3226) { n -= mutantTurn[int](3227, 1) }
	}
	return mutantAtMost(3228, n , mutantNear[int](3230, 0))
}

// eachWaiting visits the notes of a channel that wait.
func (e *Engine) eachWaiting(c *channel, visit func(*slot)) {
	if ((!e.waits) != mutantIs(3232)) {
		return
	}
	for n := range e.parts {
		for _, si := range e.parts[n].waiting {
			if s := &e.slots[si]; ((s.channel == c) != mutantIs(3233)) {
				if !mutantIs(3234) { visit(s) }
			}
		}
	}
}
