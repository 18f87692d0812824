package alloc

import "slices"

// cause says why a note must do without a voice that is free.
func (e *Engine) cause(p *partState, s *slot) Cause {
	if e.unisons {
		return e.causeByNotes(p, s)
	}
	held, pedal, silent, voices := 1, 0, 0, 0
	for _, q := range p.pools {
		held += q.held
		pedal += q.pedal
		if q.allows(s.sounding) {
			silent += q.free.size + q.tail.size
			voices += len(q.voices)
		}
	}
	switch {
	case e.reserved(p, s, silent):
		return CauseReserve
	case held > voices:
		return CauseShortage
	case held+pedal > voices:
		return CausePedal
	}
	return CauseRule
}

// reserved tells whether there are silent voices for a note that its part must
// not take.
func (e *Engine) reserved(p *partState, s *slot, silent int) bool {
	return p.shares() && e.room(p, s.sounding) < min(silent, max(1, p.Unison.Voices))
}

// causeByNotes is cause where notes may hold several voices: what counts is
// whether each note could have had one.
func (e *Engine) causeByNotes(p *partState, s *slot) Cause {
	silent, voices := 0, 0
	for _, q := range p.pools {
		if q.allows(s.sounding) {
			silent += q.free.size + q.tail.size
			voices += len(q.voices)
		}
	}
	held, pedal, several := 1, 0, p.Unison.Voices > 1
	seen := e.seen[:0]
	for _, i := range p.voices {
		v := &e.voices[i]
		switch {
		case v.state <= Tail:
			continue
		case slices.Contains(seen, v.slot):
			several = true
			continue
		case v.state == Held:
			held++
		default:
			pedal++
		}
		seen = append(seen, v.slot)
	}
	e.seen = seen
	switch {
	case e.reserved(p, s, silent):
		return CauseReserve
	case held > voices:
		return CauseShortage
	case held+pedal > voices:
		return CausePedal
	case several:
		return CauseUnison
	}
	return CauseRule
}
