package opinion

import (
	"math"
	"time"
)

type voice struct {
	state  state // silent, held, pedal or tail
	note   *Note // the last
	used   bool
	attack time.Duration // of its gate, or the last re-attack
	from   float64       // the level at which that began
	off    time.Duration // when its gate went low
	level  float64       // then
}

type wall struct {
	rules  Rules
	voices []voice
	edge   bool
}

// play gives the notes voices.
func (w *wall) play(log []step) {
	for _, s := range log {
		if s.to == held {
			w.expire(s.at)
			w.start(s.note, s.at)
			continue
		}
		i := w.of(s.note)
		if i < 0 {
			continue
		}
		if v := &w.voices[i]; s.to == pedal {
			v.state = pedal
		} else {
			v.level = w.levelOf(*v, s.at)
			v.state, v.off = tail, s.at
		}
	}
	for _, s := range log {
		s.note.Ending = s.note.ending(w.rules)
	}
}

// of is the voice whose gate the note holds, or -1.
func (w *wall) of(n *Note) int {
	return w.best(func(v voice) bool { return v.note == n && v.gated() }, func(a, b voice) bool { return false })
}

func (v voice) gated() bool { return v.state == held || v.state == pedal }

// levelOf is the level of a voice, of full.
func (w *wall) levelOf(v voice, at time.Duration) float64 {
	switch v.state {
	case held, pedal:
		return w.rules.Envelope.up(v.from, at-v.attack)
	case tail:
		return math.Pow(10, w.rules.Envelope.down(v.level, at-v.off)/20)
	}
	return 0
}

// expire frees the voices whose tail is at the floor.
func (w *wall) expire(at time.Duration) {
	for i := range w.voices {
		if v := &w.voices[i]; v.state == tail {
			db := w.rules.Envelope.down(v.level, at-v.off)
			w.onTheFloor(v, db, w.rules.FreeDB)
			if db <= w.rules.FreeDB {
				v.state = silent
			}
		}
	}
}

// quieter compares two voices at once, by level and by a factor each. It notes
// where the last bits decide: where they are close, and not equal in any
// arithmetic: because both began at once from silence, or are full, or fall from
// full.
func (w *wall) quieter(a, b voice, at time.Duration, byA, byB float64) bool {
	x, y := w.levelOf(a, at)*byA, w.levelOf(b, at)*byB
	sameOff := a.off == b.off || a.gated() && b.gated()
	sameLevel := a.from == 0 && b.from == 0 && a.attack == b.attack || w.top(a, at) == 1 && w.top(b, at) == 1
	if math.Abs(x-y) < 1e-9*max(x, y) && !(x == y && sameOff && sameLevel) {
		w.edge = true
	}
	return x < y
}

// top is the level, or that at which the gate went low.
func (w *wall) top(v voice, at time.Duration) float64 {
	if v.state == tail {
		return v.level
	}
	return w.levelOf(v, at)
}

// onTheFloor notes that a tail is just at a floor, which decides nothing unless
// it began at full, where all is round.
func (w *wall) onTheFloor(v *voice, db, floor float64) {
	if math.Abs(db-floor) < 1e-7 && (db != floor || v.level != 1) {
		w.edge = true
	}
}

// start finds the note a voice: the one that its key sounds on, a candidate, or
// one that is stolen.
func (w *wall) start(n *Note, at time.Duration) {
	i := -1
	if n.again != nil {
		i = w.of(n.again)
	}
	if i < 0 {
		i = w.pick()
		if i < 0 {
			i = w.steal(n, at)
		}
		if i < 0 {
			return
		}
		w.cut(&w.voices[i], n, at)
	}
	v := &w.voices[i]
	v.from = w.levelOf(*v, at)
	v.state, v.note, v.attack, v.used = held, n, at, true
	n.Voice = i
}

// best returns the voice that comes before all others; of equals the lowest
// number. -1 where none is allowed.
func (w *wall) best(allowed func(voice) bool, before func(a, b voice) bool) int {
	best := -1
	for i, v := range w.voices {
		if allowed(v) && (best < 0 || before(v, w.voices[best])) {
			best = i
		}
	}
	return best
}

// pick chooses among the voices that are free; where tails are not seen, also
// among those in their tail.
func (w *wall) pick() int {
	return w.best(func(v voice) bool {
		return v.state == silent || v.state == tail && w.rules.BlindTails
	}, func(a, b voice) bool {
		switch {
		case !w.rules.LongestIdle:
			return false
		case a.used != b.used:
			return !a.used
		}
		return a.used && a.off < b.off
	})
}

// steal chooses whom to take a voice from: tails, the quietest first, then notes
// on the pedal, then those held.
func (w *wall) steal(n *Note, at time.Duration) int {
	is := func(s state) func(voice) bool { return func(v voice) bool { return v.state == s } }
	// Reading: of tails that are equally quiet the oldest is the one attacked first.
	i := w.best(is(tail), func(a, b voice) bool {
		return w.quieter(a, b, at, 1, 1) || w.levelOf(a, at) == w.levelOf(b, at) && older(a, b)
	})
	if i >= 0 || w.rules.Steal == Never {
		return i
	}
	before := older
	switch w.rules.Steal {
	case ProtectOuter:
		return w.protect(n)
	case Quietest:
		before = func(a, b voice) bool {
			return w.quieter(a, b, at, float64(a.note.Velocity), float64(b.note.Velocity))
		}
	}
	if i = w.best(is(pedal), before); i >= 0 {
		return i
	}
	return w.best(is(held), before)
}

func older(a, b voice) bool { return a.attack < b.attack }

// protect keeps the lowest and the highest of the keys that sound, the new one
// among them: an inner note on the pedal goes first, then an inner one that is
// held, then the top that sounds, then the bass; of several the oldest.
// Reading: where several voices sound the top or the bass, the class order holds
// among them.
func (w *wall) protect(n *Note) int {
	low, high, top := n.Key, n.Key, -1
	for _, v := range w.voices {
		low, high, top = min(low, v.note.Key), max(high, v.note.Key), max(top, v.note.Key)
	}
	for _, pass := range []func(voice) bool{
		func(v voice) bool { return v.state == pedal && low < v.note.Key && v.note.Key < high },
		func(v voice) bool { return v.state == held && low < v.note.Key && v.note.Key < high },
		func(v voice) bool { return v.state == pedal && v.note.Key == top },
	} {
		if i := w.best(pass, older); i >= 0 {
			return i
		}
	}
	return w.best(func(v voice) bool { return v.note.Key == top }, older)
}
