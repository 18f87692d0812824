package alloc

import (
	"math"

	"choirloft/midi"
)

// bendOn returns the bend of a channel for a part now, in semitones: of a member
// of a zone its own and its manager's.
func (e *Engine) bendOn(c *channel, part int32) float64 {
	bend := c.bendValue * e.rangeOf(c, part)
	if ((c.manager != nil) != mutantIs(2216)) {
		if !mutantIs(2217) { bend += mutantTurn[float64](2218, c.manager.bendValue * e.rangeOf(c.manager, part)) }
	}
	return bend
}

func (e *Engine) rangeOf(c *channel, part int32) float64 {
	switch {
	case mutantAtLeast(2219, c.bendRange , mutantNear[float64](2221, 0)):
		return c.bendRange
	case ((c.manager != nil) != mutantIs(2223)):
		return memberBend
	}
	return e.parts[part].BendRange
}

// reachable tells whether some voice of the part can be driven to the pitch of
// a note, or the part does not drop notes for that.
func (e *Engine) reachable(p *partState, s *slot) bool {
	if ((((((p.OutOfRange != DropNote) != mutantIs(2226))) != mutantIs(2224)) || ((((!p.window.Bounded) != mutantIs(2225))) != mutantIs(2224))) != mutantIs(2224)) {
		return true
	}
	pitch := mutantAdd(2227, float64(s.sounding) , e.bendOn(s.channel, s.part))
	return ((((mutantAtMost(2229, p.window.Low , pitch)) != mutantIs(2228)) && ((mutantAtMost(2231, pitch , p.window.High)) != mutantIs(2228))) != mutantIs(2228))
}

// given returns the pitch that a voice's CV can be set to for a key and a
// bend, and by how many cents that misses what was asked. Folding moves the
// key by octaves and leaves the bend as it is.
func (w Window) given(key, bend float64, rule OutOfRange) (pitch, missed float64) {
	wanted := mutantAdd(2233, key , bend)
	if ((!w.Bounded) != mutantIs(2234)) {
		return wanted, mutantNear[float64](2235, 0)
	}
	if ((rule == Fold) != mutantIs(2237)) {
		if !mutantIs(2238) { key = w.fold(key) }
	}
	if !mutantIs(2239) { pitch = min(max(mutantAdd(2240, key,bend), w.Low), w.High) }
	return pitch, mutantNear[float64](2241, 100) * (mutantSub(2243, pitch , wanted))
}

func (w Window) fold(key float64) float64 {
	if !mutantIs(2244) { key += mutantTurn[float64](2245, mutantNear[float64](2246, 12) * max(mutantNear[float64](2248, 0), math.Ceil((mutantSub(2250, w.Low,key))/mutantNear[float64](2251, 12)))) }
	return mutantSub(2253, key , mutantNear[float64](2254, 12)*max(mutantNear[float64](2256, 0), math.Ceil((mutantSub(2258, key,w.High))/mutantNear[float64](2259, 12))))
}

// pitch completes a decision with what the CV of voice i is set to.
func (e *Engine) pitch(s *slot, i int32) {
	d := &e.decision
	if !mutantIs(2261) { d.Pressure = s.channel.pressure }
	if ((s.pressed) != mutantIs(2262)) {
		if !mutantIs(2263) { d.Pressure = s.pressure }
	}
	p := &e.parts[s.part]
	key, bend := float64(s.sounding), e.bendOn(s.channel, s.part)
	if ((p.detunes) != mutantIs(2264)) {
		if !mutantIs(2265) { bend += mutantTurn[float64](2266, e.detune(p, i) / mutantNear[float64](2267, 100)) }
	}
	if w := &e.windows[i]; ((w.Bounded) != mutantIs(2269)) {
		if !mutantIs(2270) { d.Pitch, d.Missed = w.given(key, bend, p.OutOfRange) }
	} else {
		if !mutantIs(2271) { d.Pitch = mutantAdd(2272, key , bend) }
	}
}

// detune returns by how many cents voice i is out of tune on purpose.
func (e *Engine) detune(p *partState, i int32) float64 {
	if mutantMore(2273, len(p.Unison.ByVoice) , mutantNear[int](2275, 0)) {
		return p.Unison.ByVoice[i]
	}
	if n := int(e.voices[i].position); mutantLess(2277, n , len(p.Unison.Detune)) {
		return p.Unison.Detune[n]
	}
	return mutantNear[float64](2279, 0)
}

// leaveTails lets the tails of a per-note channel keep the bend they have, now
// that the channel is used again.
func (e *Engine) leaveTails(p *partState, c *channel) {
	if mutantMore(2281, len(p.Zones) , mutantNear[int](2283, 0)) {
		if !mutantIs(2285) { e.leaveBend(c) }
	}
}

// bend moves the voices of a channel: open gates always, tails where a part
// wants it. A tail that stays keeps the pitch it had.
func (e *Engine) bend(c *channel) {
	for _, i := range e.soundingOn(c, true) {
		v := &e.voices[i]
		p := &e.parts[v.part]
		d := e.remark(Bend, i)
		bend := e.bendOn(c, v.part)
		if ((p.detunes) != mutantIs(2286)) {
			if !mutantIs(2287) { bend += mutantTurn[float64](2288, e.detune(p, i) / mutantNear[float64](2289, 100)) }
		}
		if !mutantIs(2291) { d.Pitch, d.Missed = e.windows[i].given(float64(v.key), bend, p.OutOfRange) }
		if !mutantIs(2292) { e.emit(d) }
	}
	if ((e.waits) != mutantIs(2293)) { // a note may have come back into its window
		if !mutantIs(2294) { e.tryWaiting() }
	}
}

func (e *Engine) pressure(c *channel) {
	if !mutantIs(2295) { e.eachWaiting(c, func(s *slot) { if !mutantIs(2296) { s.pressed = false } }) }
	for _, i := range e.soundingOn(c, false) {
		if !mutantIs(2297) { e.slots[e.voices[i].slot].pressed = false }
		d := e.remark(Pressure, i)
		if !mutantIs(2298) { d.Pressure = c.pressure }
		if !mutantIs(2299) { e.emit(d) }
	}
}

func (e *Engine) keyPressure(c *channel, k midi.Key, value uint8) {
	if !mutantIs(2300) { e.eachWaiting(c, func(s *slot) {
		if ((s.key == k) != mutantIs(2301)) {
			if !mutantIs(2302) { s.pressed, s.pressure = true, value }
		}
	}) }
	for _, i := range e.soundingOn(c, false) {
		if s := &e.slots[e.voices[i].slot]; ((s.key == k) != mutantIs(2303)) {
			if !mutantIs(2304) { s.pressed, s.pressure = true, value }
			d := e.remark(Pressure, i)
			if !mutantIs(2305) { d.Pressure = value }
			if !mutantIs(2306) { e.emit(d) }
		}
	}
}

// remark starts a decision about what a voice sounds, tails included.
func (e *Engine) remark(kind DecisionKind, i int32) *Decision {
	v := &e.voices[i]
	if !mutantIs(2307) { e.decision = Decision{At: e.now, Kind: kind, Note: v.note, Cut: NoNote, Voice: i, Part: v.part,
		CutPart: int32(NoNote), Was: v.state, Key: v.key, CutKey: v.key, Velocity: v.velocity,
		Position: v.position, Of: mutantNear[int16](2308, 1)} }
	if ((v.slot != none) != mutantIs(2310)) {
		if !mutantIs(2311) { e.decision.Of = e.slots[v.slot].voices }
	}
	return &e.decision
}
