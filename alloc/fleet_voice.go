package alloc

import (
	"math"
	"time"
)

// voice is the state of one voice while notes play.
type voice struct {
	attackAt time.Duration // of the latest attack or re-attack
	// startLevel is the level at attackAt, 0–1; negative if the gate was low, so
	// that only startDB holds it as yet.
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

// taken is the state of a voice that was grabbed and does not sound yet, so
// that nothing takes it for free.
const taken = Held + 1

// levelDB returns the level of a voice now, relative to full.
func (f *fleet) levelDB(v *voice) float64 {
	switch v.state {
	case Free:
		return math.Inf(-1)
	case Tail:
		return f.tailDB(v)
	}
	return DB(f.openLevel(v))
}

// tailDB returns the level of a voice in its tail now.
func (f *fleet) tailDB(v *voice) float64 {
	release := float64(f.envelopes[v.envelope].Release)
	return v.closedDB - 60*float64(f.now-v.offAt)/release
}

// openLevel returns the level (0–1) of a voice whose gate is high. An envelope
// with full sustain is at full once its attack time is over, whatever it
// started from; that spares the usual case its exponentials.
func (f *fleet) openLevel(v *voice) float64 {
	env := &f.envelopes[v.envelope]
	if env.Sustain == 1 && f.now-v.attackAt >= env.Attack {
		return 1
	}
	full := f.full(v)
	if f.now == v.attackAt && env.Attack > 0 {
		return v.startLevel // what the exponential would only come near to
	}
	return env.Level(full, f.now)
}

// levelAgain returns the level of a voice now, in dB, and keeps it as that from
// which the next attack starts.
func (f *fleet) levelAgain(v *voice) float64 {
	if v.state <= Tail {
		v.startLevel, v.startDB = -1, f.levelDB(v)
		return v.startDB
	}
	level := f.openLevel(v)
	v.startLevel, v.startDB = level, DB(level)
	return v.startDB
}

// full returns when the attack of a voice reaches full. It is worked out when
// first asked for.
func (f *fleet) full(v *voice) float64 {
	if v.fullAt < 0 {
		if v.startLevel < 0 {
			v.startLevel = fromDB(v.startDB)
		}
		v.fullAt = f.envelopes[v.envelope].FullAt(v.attackAt, v.startLevel)
	}
	return v.fullAt
}

// startTail sets what a voice's tail is, for a gate that goes low now at a
// level in dB.
func (f *fleet) startTail(v *voice, db float64) {
	v.offAt, v.closedDB = f.now, db
	left := f.fullFades[v.envelope]
	if db != 0 {
		left = f.envelopes[v.envelope].fade(db, f.freeDB)
	}
	v.silentAt = float64(f.now) + left
	v.freeAt = f.now + time.Duration(math.Ceil(left))
}

// olderThan orders voices by attack, then number; a and b are voice numbers.
func (f *fleet) olderThan(a, b int32) bool {
	x, y := f.voices[a].attackAt, f.voices[b].attackAt
	return x < y || x == y && a < b
}

// quieterTail orders tails by level, then age, then number.
func (f *fleet) quieterTail(a, b int32) bool {
	v, w := &f.voices[a], &f.voices[b]
	x, y := v.silentAt, w.silentAt
	if v.envelope != w.envelope {
		x, y = f.tailDB(v), f.tailDB(w)
	}
	if x != y {
		return x < y
	}
	return f.olderThan(a, b)
}
