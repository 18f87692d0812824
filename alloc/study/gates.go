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
	if d.Voice == int32(alloc.NoVoice) || voices[d.Voice].Gate == 0 {
		return
	}
	if g.held == nil {
		g.held, g.lingers = map[int]int{}, map[int]lower{}
	}
	gate, voice := voices[d.Voice].Gate, int(d.Voice)
	switch d.Kind {
	case alloc.Take:
		g.end(voice, d.At, outcomes)
		if d.Was <= alloc.Tail {
			g.held[gate]++
		}
	case alloc.Release:
		if g.held[gate]--; g.held[gate] > 0 {
			g.lingers[voice] = lower{d.Note, d.At}
			return
		}
		for other := range g.lingers {
			if voices[other].Gate == gate {
				g.end(other, d.At, outcomes)
			}
		}
	}
}

// end notes how long what lingers on a voice has done so.
func (g *gates) end(voice int, now time.Duration, outcomes []Outcome) {
	if l, ok := g.lingers[voice]; ok {
		o := &outcomes[l.note] // which may have several voices
		o.TooLong = max(o.TooLong, now-l.at)
		delete(g.lingers, voice)
	}
}
