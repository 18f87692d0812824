package alloc

import (
	"cmp"
	"math"
	"slices"

	"choirloft/midi"
)

// bendOf returns the bend of a note's channel now, in semitones.
func (e *Engine) bendOf(s *slot) float64 {
	if s.channel.bendValue == 0 {
		return 0
	}
	return s.channel.bendValue * e.rangeOf(s.channel, s.part)
}

func (e *Engine) rangeOf(c *channel, part int32) float64 {
	if c.bendRange >= 0 {
		return c.bendRange
	}
	return e.parts[part].BendRange
}

// reaches tells whether some voice of the part can be driven to a pitch.
func (p *partState) reaches(pitch float64) bool {
	return !p.window.Bounded || p.window.Low <= pitch && pitch <= p.window.High
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
	if key < w.Low {
		key += 12 * math.Ceil((w.Low-key)/12)
	}
	if key > w.High {
		key -= 12 * math.Ceil((key-w.High)/12)
	}
	return key
}

// pitch completes a decision with what the CV of voice i is set to.
func (e *Engine) pitch(s *slot, i int32) {
	d := &e.decision
	key, bend := float64(s.sounding), e.bendOf(s)
	d.Pressure = s.channel.pressure
	if w := &e.windows[i]; w.Bounded {
		d.Pitch, d.Missed = w.given(key, bend, e.parts[s.part].OutOfRange)
	} else {
		d.Pitch = key + bend
	}
}

// meet gives a channel its lists of voices.
func (e *Engine) meet(c *channel) {
	c.voiced, c.tails = e.inChannel.grow(), e.inChannel.grow()
}

// bend moves the voices of a channel: open gates always, tails where a part
// wants it. A tail that stays keeps the pitch it had.
func (e *Engine) bend(c *channel) {
	for _, i := range e.soundingOn(c, true) {
		v := &e.voices[i]
		d := e.remark(Bend, i)
		d.Pitch, d.Missed = e.windows[i].given(float64(v.key), c.bendValue*e.rangeOf(c, v.part), e.parts[v.part].OutOfRange)
		e.emit(d)
	}
}

func (e *Engine) pressure(c *channel) {
	for _, i := range e.soundingOn(c, false) {
		d := e.remark(Pressure, i)
		d.Pressure = c.pressure
		e.emit(d)
	}
}

func (e *Engine) keyPressure(c *channel, k midi.Key, value uint8) {
	for _, i := range e.soundingOn(c, false) {
		if e.slots[e.voices[i].slot].key == k {
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
		CutPart: int32(NoNote), Was: v.state, Key: v.key, CutKey: v.key, Velocity: v.velocity}
	return &e.decision
}

// soundingOn returns the voices that sound for a channel, the oldest note
// first.
func (e *Engine) soundingOn(c *channel, tails bool) []int32 {
	all := e.gather[:0]
	for i := e.inChannel[c.voiced].next; i != c.voiced; i = e.inChannel[i].next {
		all = append(all, i)
	}
	if tails && !e.inChannel.empty(c.tails) {
		for i := e.inChannel[c.tails].next; i != c.tails; i = e.inChannel[i].next {
			if e.voices[i].freeAt > e.now {
				all = append(all, i)
			}
		}
		slices.SortFunc(all, func(a, b int32) int { return cmp.Compare(e.voices[a].note, e.voices[b].note) })
	}
	e.gather = all
	return all
}
