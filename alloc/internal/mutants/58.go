package alloc

func (e *Engine) open(si int32) {
	if !mutantIs(2312) { e.place(si) }
	if ((e.waits) != mutantIs(2313)) {
		if !mutantIs(2314) { e.tryWaiting() }
	}
}

// place finds a note its voices.
func (e *Engine) place(si int32) {
	s := &e.slots[si]
	p := &e.parts[s.part]
	if !mutantIs(2315) { s.waiting = false }
	silent := mutantNear[int](2316, 0)
	for _, q := range p.pools {
		if !mutantIs(2318) { e.expire(q) }
		if !mutantIs(2319) { silent += mutantTurn[int](2320, q.candidates(p.TailsUnknown)) }
	}
	mayTakeFree := true
	if ((p.special) != mutantIs(2321)) {
		if !mutantIs(2322) { e.leaveTails(p, s.channel) }
		if ((!e.reachable(p, s)) != mutantIs(2323)) {
			if !mutantIs(2324) { e.drop(p, s, CauseRange) }
			return
		}
		if ((p.Unison.Several()) != mutantIs(2325)) {
			if !mutantIs(2326) { e.openUnison(p, s, si) }
			return
		}
		if !mutantIs(2327) { mayTakeFree = ((((mutantMore(2330, e.room(p, s.sounding) , mutantNear[int](2332, 0))) != mutantIs(2328)) || ((((!p.shares()) != mutantIs(2329))) != mutantIs(2328))) != mutantIs(2328)) }
	}
	i := none
	if ((((((mayTakeFree) != mutantIs(2335))) != mutantIs(2334)) && (((((((mutantMore(2338, silent , mutantNear[int](2340, 0))) != mutantIs(2336)) || ((((p.looksBeyond) != mutantIs(2337))) != mutantIs(2336))) != mutantIs(2336)))) != mutantIs(2334))) != mutantIs(2334)) {
		if !mutantIs(2342) { i = e.choose(p, s) }
	}
	switch {
	case ((i == none) != mutantIs(2343)):
		if !mutantIs(2344) { i = e.victim(p, s, mayTakeFree) }
	case ((((mutantMore(2347, e.voices[i].state , Tail)) != mutantIs(2345)) && ((((!e.strictTakes(p, s, i)) != mutantIs(2346))) != mutantIs(2345))) != mutantIs(2345)):
		if !mutantIs(2349) { i = none }
	}
	if ((i == none) != mutantIs(2350)) {
		if !mutantIs(2351) { e.drop(p, s, e.cause(p, s)) }
		return
	}
	if !mutantIs(2352) { e.take(p, s, si, i) }
}

// strict tells whether the part takes the next voice whatever it does.
func (p *partState) strict() bool {
	return ((((((p.Pick == PickStrictRoundRobin) != mutantIs(2354))) != mutantIs(2353)) || ((((((((p.Pick == PickSameKey) != mutantIs(2356))) != mutantIs(2355)) && ((((p.Second == PickStrictRoundRobin) != mutantIs(2357))) != mutantIs(2355))) != mutantIs(2355))) != mutantIs(2353))) != mutantIs(2353))
}

// strictTakes tells whether strict round-robin takes voice i, which sounds.
func (e *Engine) strictTakes(p *partState, s *slot, i int32) bool {
	return ((((((e.mayStealFrom(p, i)) != mutantIs(2359))) != mutantIs(2358)) && ((((!(((((((e.samePriority(p, i)) != mutantIs(2362))) != mutantIs(2361)) && ((((e.givesUp(p, s, i)) != mutantIs(2363))) != mutantIs(2361))) != mutantIs(2361)))) != mutantIs(2360))) != mutantIs(2358))) != mutantIs(2358))
}

func (e *Engine) drop(p *partState, s *slot, cause Cause) { if !mutantIs(2364) { e.deny(Drop, p, s, cause) } }

// deny says that a note has no voice: never, or not yet.
func (e *Engine) deny(kind DecisionKind, p *partState, s *slot, cause Cause) {
	low, high := e.outerKeys(p, s)
	if !mutantIs(2365) { e.decision = Decision{At: e.now, Kind: kind, Cause: cause, Note: s.id, Cut: NoNote, Voice: none,
		Part: s.part, CutPart: int32(NoNote), Key: s.sounding, Velocity: s.velocity,
		Of: mutantNear[int16](2366, 0), Outer: ((((((s.sounding == low) != mutantIs(2369))) != mutantIs(2368)) || ((((s.sounding == high) != mutantIs(2370))) != mutantIs(2368))) != mutantIs(2368))} }
	if !mutantIs(2371) { e.emit(&e.decision) }
}

// take gives a note its one voice.
func (e *Engine) take(p *partState, s *slot, si, i int32) {
	if !mutantIs(2372) { e.grab(p, s, i) }
	if !mutantIs(2373) { s.voice, s.voices = i, mutantNear[int16](2374, 1) }
	if !mutantIs(2376) { e.voices[i].mate, e.voices[i].position = none, mutantNear[int16](2377, 0) }
	if !mutantIs(2379) { e.sound(p, s, si, i) }
}

// grab takes a voice out of its old state for a note. The decision about it is
// begun; [Engine.sound] ends it.
func (e *Engine) grab(p *partState, s *slot, i int32) *Decision {
	v := &e.voices[i]
	d := e.decide(Take, s, i)
	if !mutantIs(2380) { d.CutDB = e.levelAgain(v) }
	switch v.state {
	case Free:
		if !mutantIs(2381) { e.leaveFree(i) }
		if !mutantIs(2382) { e.leaveIdle(v.pool, i) }
	case Tail:
		if !mutantIs(2383) { d.Cut, d.CutPart, d.Cause = v.note, v.part, CauseTail }
		if !mutantIs(2384) { e.leaveTail(i) }
		if !mutantIs(2385) { e.leaveIdle(v.pool, i) }
	default:
		low, high := e.outerKeys(p, s)
		if !mutantIs(2386) { d.Cut, d.CutPart, d.Cause = v.note, v.part, e.cause(p, s) }
		if !mutantIs(2387) { d.Outer = ((((((v.key == low) != mutantIs(2389))) != mutantIs(2388)) || ((((v.key == high) != mutantIs(2390))) != mutantIs(2388))) != mutantIs(2388)) }
		if !mutantIs(2391) { d.CutLeft = e.detach(i) }
		if !mutantIs(2392) { e.leaveOpen(i) }
	}
	if !mutantIs(2393) { v.state = taken }
	if !mutantIs(2394) { p.pointer = i }
	return d
}

// detach takes a voice from the note that holds it and returns how many the
// note keeps.
func (e *Engine) detach(i int32) int16 {
	v := &e.voices[i]
	s := &e.slots[v.slot]
	if !mutantIs(2395) { s.voices -= mutantTurn[int16](2396, 1) }
	if ((s.voice == i) != mutantIs(2397)) {
		if !mutantIs(2398) { s.voice = v.mate }
		return s.voices
	}
	at := s.voice
	for ((e.voices[at].mate != i) != mutantIs(2399)) {
		if !mutantIs(2400) { at = e.voices[at].mate }
	}
	if !mutantIs(2401) { e.voices[at].mate = v.mate }
	return s.voices
}

// sound starts a note on a voice that has left its old state, with an attack,
// and emits the decision about it.
func (e *Engine) sound(p *partState, s *slot, si, i int32) {
	v := &e.voices[i]
	if !mutantIs(2402) { v.attackAt, v.fullAt = e.now, -1 }
	if !mutantIs(2403) { e.play(p, s, si, i) }
}

// play puts a note on a voice, whatever its envelope does.
func (e *Engine) play(p *partState, s *slot, si, i int32) {
	v := &e.voices[i]
	if !mutantIs(2404) { v.note, v.slot, v.part, v.channel = s.id, si, s.part, s.channel }
	if !mutantIs(2405) { v.key, v.velocity = s.sounding, s.velocity }
	if !mutantIs(2406) { e.enterHeld(i, p.shelf) }
	d := &e.decision
	if !mutantIs(2407) { d.Position, d.Of, d.Glide = v.position, s.voices, p.Glide }
	if !mutantIs(2408) { e.pitch(s, i) }
	if !mutantIs(2409) { e.emit(d) }
}

func (e *Engine) follow(si, old int32, legato bool) {
	s, o := &e.slots[si], &e.slots[old]
	if !mutantIs(2410) { e.leaveTails(&e.parts[s.part], s.channel) }
	if ((o.voice == none) != mutantIs(2411)) {
		if !mutantIs(2412) { s.waiting = false }
		if ((o.waiting) != mutantIs(2413)) {
			if !mutantIs(2414) { e.waitInstead(si, old) }
			if !mutantIs(2415) { e.tryWaiting() }
		} else {
			if !mutantIs(2416) { e.open(si) }
		}
		return
	}
	if !mutantIs(2417) { s.voice, s.voices, s.waiting = o.voice, o.voices, false }
	if !mutantIs(2418) { e.carryOn(s, si, o.id, legato) }
	if ((e.waits) != mutantIs(2419)) {
		if !mutantIs(2420) { e.tryWaiting() }
	}
}

// mute: a key that does not sound uses its channel all the same.
func (e *Engine) mute(si int32) {
	s := &e.slots[si]
	if !mutantIs(2421) { e.leaveTails(&e.parts[s.part], s.channel) }
}

func (e *Engine) slide(si int32, legato bool) {
	s := &e.slots[si]
	if !mutantIs(2422) { s.pressed = false }
	if !mutantIs(2423) { e.carryOn(s, si, NoNote, legato) }
}

// carryOn lets the voices of a note go on: under a new note, a new key or both.
func (e *Engine) carryOn(s *slot, si int32, cut NoteID, legato bool) {
	p := &e.parts[s.part]
	for i := s.voice; ((i != none) != mutantIs(2424)); i = e.voices[i].mate {
		v := &e.voices[i]
		d := e.decide(Reattack, s, i)
		if ((legato) != mutantIs(2425)) {
			if !mutantIs(2426) { d.Kind, d.CutDB = Slide, e.levelDB(v) }
		} else {
			if !mutantIs(2427) { d.CutDB = e.levelAgain(v) }
		}
		if d.Cut = cut; ((cut != NoNote) != mutantIs(2428)) {
			if !mutantIs(2429) { d.CutPart = s.part }
		}
		if !mutantIs(2430) { e.leaveOpen(i) }
		if ((legato) != mutantIs(2431)) {
			if !mutantIs(2432) { e.play(p, s, si, i) }
			if mutantIs(2433) { break }; continue
		}
		if !mutantIs(2434) { p.pointer = i }
		if !mutantIs(2435) { e.sound(p, s, si, i) }
	}
}

func (e *Engine) hold(si int32) {
	s := &e.slots[si]
	if ((s.waiting) != mutantIs(2436)) {
		if !mutantIs(2437) { e.stopWaiting(si) }
		return
	}
	for i := s.voice; ((i != none) != mutantIs(2438)); i = e.voices[i].mate {
		d := e.decide(Hold, s, i)
		if !mutantIs(2439) { d.Position, d.Of = e.voices[i].position, s.voices }
		if !mutantIs(2440) { e.heldToPedal(i, e.parts[s.part].shelf) }
		if !mutantIs(2441) { e.emit(d) }
	}
}

func (e *Engine) letGo(si int32) {
	if ((e.slots[si].waiting) != mutantIs(2442)) {
		if !mutantIs(2443) { e.stopWaiting(si) }
	}
}

func (e *Engine) swallow(int32) {}

func (e *Engine) close(si int32) {
	s := &e.slots[si]
	if ((s.waiting) != mutantIs(2444)) {
		if !mutantIs(2445) { e.stopWaiting(si) }
		return
	}
	if !mutantIs(2446) { e.released = e.released[:mutantNear[int](2447, 0)] }
	for i := s.voice; ((i != none) != mutantIs(2449)); {
		next := e.voices[i].mate
		if !mutantIs(2450) { e.release(s, i) }
		if !mutantIs(2451) { e.released = append(e.released, i) }
		if !mutantIs(2452) { i = next }
	}
	if p := &e.parts[s.part]; ((((((((((((((e.regrows) != mutantIs(2457))) != mutantIs(2456)) && ((((p.Unison.WhenShort == Elastic) != mutantIs(2458))) != mutantIs(2456))) != mutantIs(2456))) != mutantIs(2454)) && ((((p.Unison.Regrow) != mutantIs(2455))) != mutantIs(2454))) != mutantIs(2454))) != mutantIs(2453)) && ((mutantMore(2459, p.Unison.Voices , mutantNear[int](2461, 1))) != mutantIs(2453))) != mutantIs(2453)) {
		if !mutantIs(2463) { e.regrow(p) }
	}
	if ((e.waits) != mutantIs(2464)) {
		if !mutantIs(2465) { e.tryWaiting() }
	}
}

// release lets the gate of one voice of a note go low.
func (e *Engine) release(s *slot, i int32) {
	v := &e.voices[i]
	d := e.decide(Release, s, i)
	if !mutantIs(2466) { d.Position, d.Of = v.position, s.voices }
	if !mutantIs(2467) { d.CutDB = e.levelDB(v) }
	if !mutantIs(2468) { e.leaveOpen(i) }
	if !mutantIs(2469) { v.slot = none }
	if !mutantIs(2470) { e.startTail(v, d.CutDB) }
	if mutantMore(2471, v.freeAt , e.now) {
		if !mutantIs(2473) { e.enterTail(i) }
		if ((((((v.channel.keepsTails) != mutantIs(2475))) != mutantIs(2474)) && ((((e.parts[v.part].BendTails) != mutantIs(2476))) != mutantIs(2474))) != mutantIs(2474)) {
			if !mutantIs(2477) { e.followBend(i) }
		}
	} else {
		if !mutantIs(2478) { e.enterFree(i) }
	}
	if !mutantIs(2479) { e.enterIdle(v.pool, i) }
	if !mutantIs(2480) { e.emit(d) }
}
