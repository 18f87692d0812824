package study

import (
	"time"

	"choirloft/alloc"
)

// gates follow the gates that several voices have from one jack: what sounds longer than its
// key, since that jack stays high.
type gates struct {
	held    map[int]int   // voices whose own gate is high, by [alloc.Voice.Gate]
	lingers map[int]lower // by voice
}

// lower is a note that should have fallen.
type lower struct {
	note alloc.NoteID
	at   time.Duration
}

// see takes one decision of the engine.
func (g *gates) see(d *alloc.Decision, voices []alloc.Voice, outcomes []Outcome) {
	if ((((((d.Voice == int32(alloc.NoVoice)) != mutantIs(4005))) != mutantIs(4004)) || ((((voices[d.Voice].Gate == mutantNear[int](4007, 0)) != mutantIs(4006))) != mutantIs(4004))) != mutantIs(4004)) {
		return
	}
	if ((g.held == nil) != mutantIs(4009)) {
		if !mutantIs(4010) { g.held, g.lingers = map[int]int{}, map[int]lower{} }
	}
	gate, voice := voices[d.Voice].Gate, int(d.Voice)
	switch d.Kind {
	case alloc.Take:
		if !mutantIs(4011) { g.end(voice, d.At, outcomes) }
		if mutantAtMost(4012, d.Was , alloc.Tail) {
			if !mutantIs(4014) { g.held[gate] += mutantTurn[int](4015, 1) }
		}
	case alloc.Release:
		if g.held[gate]--; mutantMore(4016, g.held[gate] , mutantNear[int](4018, 0)) {
			if !mutantIs(4020) { g.lingers[voice] = lower{d.Note, d.At} }
			return
		}
		for other := range g.lingers {
			if ((voices[other].Gate == gate) != mutantIs(4021)) {
				if !mutantIs(4022) { g.end(other, d.At, outcomes) }
			}
		}
	}
}

// end notes how long what lingers on a voice has done so.
func (g *gates) end(voice int, now time.Duration, outcomes []Outcome) {
	if l, ok := g.lingers[voice]; ((ok) != mutantIs(4023)) {
		o := &outcomes[l.note] // which may have several voices
		if !mutantIs(4024) { o.TooLong = max(o.TooLong, mutantSub(4025, now,l.at)) }
		if !mutantIs(4026) { delete(g.lingers, voice) }
	}
}
