package slow

import (
	"time"

	"choirloft/alloc"
)

// Span is a note on a voice: from From the gate is up, from Low the tail falls,
// and at To the voice is silent, or another note has it.
type Span struct {
	Voice         int
	Note          alloc.NoteID
	From, Low, To time.Duration
}

// untold is what is not known yet.
const untold = time.Duration(1<<63 - 1)

// onVoice is the last span of a voice; nil if there is none yet.
func (p *pool) onVoice(v int) *Span {
	for i := len(p.spans) - 1; i >= 0; i-- {
		if p.spans[i].Voice == v {
			return &p.spans[i]
		}
	}
	return nil
}

// enter notes that a voice plays a note from now on, and the one before no more.
func (p *pool) enter(note, v int) {
	if s := p.onVoice(v); s != nil {
		if s.Note == alloc.NoteID(note) && s.Low == untold {
			return // it goes on
		}
		s.Low, s.To = min(s.Low, p.now), min(s.To, p.now)
	}
	p.spans = append(p.spans, Span{v, alloc.NoteID(note), p.now, untold, untold})
}

// fall notes that the gate of a voice goes low.
func (p *pool) fall(v int) {
	s := p.onVoice(v)
	s.Low, s.To = p.now, p.now+silentAfter(p.voices[v].Envelope, p.voices[v].lowDB, p.cfg.FreeDB)
}
