package alloc

import (
	"math"

	"choirloft/midi"
)

// bendOn returns the bend of a channel for a part now, in semitones: of a member
// of a zone its own and its manager's.
func (e *Engine) bendOn(c *channel, part int32) float64 {
	bend := c.bendValue * e.rangeOf(c, part)
	if c.manager != nil {
		bend += c.manager.bendValue * e.rangeOf(c.manager, part)
	}
	return bend
}

func (e *Engine) rangeOf(c *channel, part int32) float64 {
	switch {
	case c.bendRange >= 0:
		return c.bendRange
	case c.manager != nil:
		return memberBend
	}
	return e.parts[part].BendRange
}

// reachable tells whether some voice of the part can be driven to the pitch of
// a note, or the part does not drop notes for that.
func (e *Engine) reachable(p *partState, s *slot) bool {
	if p.OutOfRange != DropNote || !p.window.Bounded {
		return true
	}
	pitch := float64(s.sounding) + e.bendOn(s.channel, s.part)
	return p.window.Low <= pitch && pitch <= p.window.High
}

// given returns the pitch that a voice's CV can be set to for a key and a
// bend, and by how many cents that misses what was asked. Folding moves the
// key by octaves and leaves the bend as it is.
func (w Window) given(key, bend float64, rule OutOfRange) (pitch, missed float64) {
	wanted := key + bend
	if !w.Bounded {
		return wanted, 0
	}
	if rule == Fold {
		key = w.fold(key)
	}
	pitch = min(max(key+bend, w.Low), w.High)
	return pitch, 100 * (pitch - wanted)
}

func (w Window) fold(key float64) float64 {
	key += 12 * max(0, math.Ceil((w.Low-key)/12))
	return key - 12*max(0, math.Ceil((key-w.High)/12))
}

// pitch completes a decision with what the CV of voice i is set to.
func (e *Engine) pitch(s *slot, i int32) {
	d := &e.decision
	d.Pressure = s.channel.pressure
	if s.pressed {
		d.Pressure = s.pressure
	}
	p := &e.parts[s.part]
	key, bend := float64(s.sounding), e.bendOn(s.channel, s.part)
	if p.detunes {
		bend += e.detune(p, i) / 100
	}
	if w := &e.windows[i]; w.Bounded {
		d.Pitch, d.Missed = w.given(key, bend, p.OutOfRange)
	} else {
		d.Pitch = key + bend
	}
}

// detune returns by how many cents voice i is out of tune on purpose.
func (e *Engine) detune(p *partState, i int32) float64 {
	if len(p.Unison.ByVoice) > 0 {
		return p.Unison.ByVoice[i]
	}
	if n := int(e.voices[i].position); n < len(p.Unison.Detune) {
		return p.Unison.Detune[n]
	}
	return 0
}

// leaveTails lets the tails of a per-note channel keep the bend they have, now
// that the channel is used again.
func (e *Engine) leaveTails(p *partState, c *channel) {
	if len(p.Zones) > 0 {
		e.leaveBend(c)
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
		if p.detunes {
			bend += e.detune(p, i) / 100
		}
		d.Pitch, d.Missed = e.windows[i].given(float64(v.key), bend, p.OutOfRange)
		e.emit(d)
	}
	if e.waits { // a note may have come back into its window
		e.tryWaiting()
	}
}

func (e *Engine) pressure(c *channel) {
	e.eachWaiting(c, func(s *slot) { s.pressed = false })
	for _, i := range e.soundingOn(c, false) {
		e.slots[e.voices[i].slot].pressed = false
		d := e.remark(Pressure, i)
		d.Pressure = c.pressure
		e.emit(d)
	}
}

func (e *Engine) keyPressure(c *channel, k midi.Key, value uint8) {
	e.eachWaiting(c, func(s *slot) {
		if s.key == k {
			s.pressed, s.pressure = true, value
		}
	})
	for _, i := range e.soundingOn(c, false) {
		if s := &e.slots[e.voices[i].slot]; s.key == k {
			s.pressed, s.pressure = true, value
			d := e.remark(Pressure, i)
			d.Pressure = value
			e.emit(d)
		}
	}
}

// remark starts a decision about what a voice sounds, tails included.
func (e *Engine) remark(kind DecisionKind, i int32) *Decision {
	v := &e.voices[i]
	e.decision = Decision{At: e.now, Kind: kind, Note: v.note, Cut: NoNote, Voice: i, Part: v.part,
		CutPart: int32(NoNote), Was: v.state, Key: v.key, CutKey: v.key, Velocity: v.velocity,
		Position: v.position, Of: 1}
	if v.slot != none {
		e.decision.Of = e.slots[v.slot].voices
	}
	return &e.decision
}
