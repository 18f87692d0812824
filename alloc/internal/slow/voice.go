package slow

import (
	"math"
	"time"

	"choirloft/alloc"
)

// voice is a voice at work.
type voice struct {
	alloc.Voice
	state    alloc.State
	note     int // the note it plays or played last; −1 if never used
	key      int // the sounding key of that note
	velocity uint8
	pressure uint8
	pitch    pitch
	position int           // in the unison of the note
	attack   time.Duration // of the attack or re-attack
	from     float64       // the level at that attack
	came     string        // what that level came of, where rounding is in it
	low      time.Duration // gate-off
	lowDB    float64       // the level at gate-off
}

// sounds tells whether the gate is up.
func (v voice) sounds() bool { return v.state == alloc.Held || v.state == alloc.Pedal }

// used tells whether it has played yet.
func (v voice) used() bool { return v.note >= 0 }

// levelDB is its level, relative to the full envelope; −Inf is silence.
func (v voice) levelDB(at time.Duration) (db float64, doubt bool) {
	if v.state == alloc.Tail {
		return fallingDB(v.Envelope, v.lowDB, at-v.low), false
	}
	level, doubt := v.level(at)
	return 20 * math.Log10(level), doubt
}

// level is the same, 0–1.
func (v voice) level(at time.Duration) (level float64, doubt bool) {
	switch v.state {
	case alloc.Free:
		return 0, false
	case alloc.Tail:
		db, _ := v.levelDB(at)
		return math.Pow(10, db/20), false
	default:
		return rising(v.Envelope, v.from, at-v.attack)
	}
}

// gateLow releases the voice.
func (v *voice) gateLow(at time.Duration) {
	v.lowDB, _ = v.levelDB(at)
	v.state, v.low = alloc.Tail, at
}

// expire makes a tail that has reached the free level a free voice.
func (v *voice) expire(at time.Duration, free float64) {
	if v.state == alloc.Tail && at-v.low >= silentAfter(v.Envelope, v.lowDB, free) {
		v.state = alloc.Free
	}
}

// pitch is what the CV of a voice is set to.
type pitch struct {
	given  float64 // semitones on the scale of keys
	missed float64 // given minus wanted, in cents
}

// pitchOf is the pitch of a note on a voice: its bend and the detune of the
// voice's position, or of the voice itself, included.
func (p *pool) pitchOf(note, i int) pitch {
	part, v := p.cfg.Parts[p.gates[note].Part], p.voices[i]
	cents := 0.0
	switch u := part.Unison; {
	case len(u.ByVoice) > 0:
		cents = u.ByVoice[i]
	case u.Voices > 1 && v.position < len(u.Detune):
		cents = u.Detune[v.position]
	}
	return fit(p.heard[note].key, p.heard[note].bend+cents/100, v.Window, part.OutOfRange)
}

// fit puts a key and its bend into the window as the part says. Fold moves the
// key by octaves, so that a bend does not jump by one; what the bend leads out
// of the window after that, or after the note began, is clamped.
func fit(key int, bend float64, w alloc.Window, rule alloc.OutOfRange) pitch {
	wanted := float64(key) + bend
	given := wanted
	if rule == alloc.Fold {
		given += fold(float64(key), w)
	}
	if w.Bounded {
		given = math.Max(w.Low, math.Min(w.High, given))
	}
	return pitch{given, (given - wanted) * 100}
}

// fold is by how many semitones, in octaves, a pitch must be moved to lie in
// the window: 0 where no octave of it does.
func fold(p float64, w alloc.Window) float64 {
	for octaves := 0.0; w.Bounded && octaves < 30; octaves++ {
		for _, by := range []float64{12 * octaves, -12 * octaves} {
			if w.Low <= p+by && p+by <= w.High {
				return by
			}
		}
	}
	return 0
}
