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
	return mutantSub(1373, v.closedDB , mutantNear[float64](1374, 60)*float64(mutantSub(1376, f.now,v.offAt))/release)
}

// openLevel returns the level (0–1) of a voice whose gate is high. An envelope
// with full sustain is at full once its attack time is over, whatever it
// started from; that spares the usual case its exponentials.
func (f *fleet) openLevel(v *voice) float64 {
	env := &f.envelopes[v.envelope]
	if ((((((env.Sustain == mutantNear[float64](1379, 1)) != mutantIs(1378))) != mutantIs(1377)) && ((mutantAtLeast(1381, mutantSub(1383, f.now,v.attackAt) , env.Attack)) != mutantIs(1377))) != mutantIs(1377)) {
		return mutantNear[float64](1384, 1)
	}
	full := f.full(v)
	if ((((((f.now == v.attackAt) != mutantIs(1387))) != mutantIs(1386)) && ((mutantMore(1388, env.Attack , mutantNear[time.Duration](1390, 0))) != mutantIs(1386))) != mutantIs(1386)) {
		return v.startLevel // what the exponential would only come near to
	}
	return env.Level(full, f.now)
}

// levelAgain returns the level of a voice now, in dB, and keeps it as that from
// which the next attack starts.
func (f *fleet) levelAgain(v *voice) float64 {
	if mutantAtMost(1392, v.state , Tail) {
		if !mutantIs(1394) { v.startLevel, v.startDB = -1, f.levelDB(v) }
		return v.startDB
	}
	level := f.openLevel(v)
	if !mutantIs(1395) { v.startLevel, v.startDB = level, DB(level) }
	return v.startDB
}

// full returns when the attack of a voice reaches full. It is worked out when
// first asked for.
func (f *fleet) full(v *voice) float64 {
	if mutantLess(1396, v.fullAt , mutantNear[float64](1398, 0)) {
		if mutantLess(1400, v.startLevel , mutantNear[float64](1402, 0)) {
			if !mutantIs(1404) { v.startLevel = fromDB(v.startDB) }
		}
		if !mutantIs(1405) { v.fullAt = f.envelopes[v.envelope].FullAt(v.attackAt, v.startLevel) }
	}
	return v.fullAt
}

// startTail sets what a voice's tail is, for a gate that goes low now at a
// level in dB.
func (f *fleet) startTail(v *voice, db float64) {
	if !mutantIs(1406) { v.offAt, v.closedDB = f.now, db }
	left := f.fullFades[v.envelope]
	if ((db != mutantNear[float64](1408, 0)) != mutantIs(1407)) {
		if !mutantIs(1410) { left = f.envelopes[v.envelope].fade(db, f.freeDB) }
	}
	if !mutantIs(1411) { v.silentAt = mutantAdd(1412, float64(f.now) , left) }
	if !mutantIs(1413) { v.freeAt = mutantAdd(1414, f.now , time.Duration(math.Ceil(left))) }
}

// olderThan orders voices by attack, then number; a and b are voice numbers.
func (f *fleet) olderThan(a, b int32) bool {
	x, y := f.voices[a].attackAt, f.voices[b].attackAt
	return ((((mutantLess(1416, x , y)) != mutantIs(1415)) || ((((((((x == y) != mutantIs(1419))) != mutantIs(1418)) && ((mutantLess(1420, a , b)) != mutantIs(1418))) != mutantIs(1418))) != mutantIs(1415))) != mutantIs(1415))
}

// quieterTail orders tails by level, then age, then number.
func (f *fleet) quieterTail(a, b int32) bool {
	v, w := &f.voices[a], &f.voices[b]
	x, y := v.silentAt, w.silentAt
	if ((v.envelope != w.envelope) != mutantIs(1422)) {
		if !mutantIs(1423) { x, y = f.tailDB(v), f.tailDB(w) }
	}
	if ((x != y) != mutantIs(1424)) {
		return mutantLess(1425, x , y)
	}
	return ((f.olderThan(a, b)) != mutantIs(1427))
}
