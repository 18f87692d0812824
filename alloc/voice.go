package alloc

import (
	"math"
	"time"
)

// voice is the state of one voice while notes play.
type voice struct {
	attackAt time.Duration // of the latest attack or re-attack
	// startLevel is the level at attackAt, 0–1; negative if it was that of a
	// tail, which only startDB holds as yet.
	startLevel float64
	startDB    float64
	fullAt     float64       // when that attack reaches full, in nanoseconds; see full
	offAt      time.Duration // when the gate last went low; neverUsed
	freeAt     time.Duration // when the tail reaches the free level
	// silentAt is freeAt before rounding, in nanoseconds. Of two tails with
	// one release the quieter is the one that is silent sooner, at any time.
	silentAt float64
	closedDB float64 // level at offAt
	note     NoteID  // that sounds, or last sounded
	slot     int32   // of the note that holds it; none
	pool     *pool
	rank     *rank    // of an open gate: where it stands among its class
	channel  *channel // of note
	place    int32    // in the pool
	mate     int32    // the next voice of its note; none
	position int16    // in its note's unison
	part     int32    // of note
	envelope uint16   // index into the engine's envelopes
	bank     uint16   // place of its bank in the pool
	rackBank uint16
	loudness loudness // of an open gate: see quiet
	key      int16    // last played, sounding
	velocity uint8
	state    State
	bends    bool // a tail that follows the bend of its channel
}

const neverUsed time.Duration = -1

// levelDB returns the level of a voice now, relative to full.
func (e *Engine) levelDB(v *voice) float64 {
	switch v.state {
	case Free:
		return math.Inf(-1)
	case Tail:
		return e.tailDB(v)
	}
	return DB(e.openLevel(v))
}

// tailDB returns the level of a voice in its tail now.
func (e *Engine) tailDB(v *voice) float64 {
	release := float64(e.envelopes[v.envelope].Release)
	return v.closedDB - 60*float64(e.now-v.offAt)/release
}

// level returns the level (0–1) of a voice now.
func (e *Engine) level(v *voice) float64 {
	switch v.state {
	case Free:
		return 0
	case Tail:
		return fromDB(e.tailDB(v))
	}
	return e.openLevel(v)
}

// openLevel returns the level (0–1) of a voice whose gate is high. An envelope
// with full sustain is at full once its attack time is over, whatever it
// started from; that spares the usual case its exponentials.
func (e *Engine) openLevel(v *voice) float64 {
	env := &e.envelopes[v.envelope]
	if env.Sustain == 1 && e.now-v.attackAt >= env.Attack {
		return 1
	}
	full := e.full(v)
	if e.now == v.attackAt && env.Attack > 0 {
		return v.startLevel // what the exponential would only come near to
	}
	return env.Level(full, e.now)
}

// levelAgain returns the level of a voice now, in dB, and keeps it as that from
// which the next attack starts.
func (e *Engine) levelAgain(v *voice) float64 {
	switch v.state {
	case Free:
		v.startLevel, v.startDB = 0, math.Inf(-1)
	case Tail:
		v.startLevel, v.startDB = -1, e.tailDB(v)
	default:
		level := e.openLevel(v)
		v.startLevel, v.startDB = level, DB(level)
	}
	return v.startDB
}

// full returns when the attack of a voice reaches full. It is worked out when
// first asked for.
func (e *Engine) full(v *voice) float64 {
	if v.fullAt < 0 {
		if v.startLevel < 0 {
			v.startLevel = fromDB(v.startDB)
		}
		v.fullAt = e.envelopes[v.envelope].FullAt(v.attackAt, v.startLevel)
	}
	return v.fullAt
}

// startTail sets what a voice's tail is, for a gate that goes low now at a
// level in dB.
func (e *Engine) startTail(v *voice, db float64) {
	v.offAt, v.closedDB = e.now, db
	left := e.fullFades[v.envelope]
	if db != 0 {
		left = e.envelopes[v.envelope].fade(db, e.freeDB)
	}
	v.silentAt = float64(e.now) + left
	v.freeAt = e.now + time.Duration(math.Ceil(left))
}

// olderThan orders voices by attack, then number; a and b are voice numbers.
func (e *Engine) olderThan(a, b int32) bool {
	x, y := e.voices[a].attackAt, e.voices[b].attackAt
	return x < y || x == y && a < b
}

// quieterTail orders tails by level, then age, then number.
func (e *Engine) quieterTail(a, b int32) bool {
	v, w := &e.voices[a], &e.voices[b]
	x, y := v.silentAt, w.silentAt
	if v.envelope != w.envelope {
		x, y = e.tailDB(v), e.tailDB(w)
	}
	if x != y {
		return x < y
	}
	return e.olderThan(a, b)
}
