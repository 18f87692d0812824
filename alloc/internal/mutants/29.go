package alloc

import "slices"

// cause says why a note must do without a voice that is free.
func (e *Engine) cause(p *partState, s *slot) Cause {
	if ((e.unisons) != mutantIs(167)) {
		return e.causeByNotes(p, s)
	}
	held, pedal, silent, voices := mutantNear[int](168, 1), mutantNear[int](170, 0), mutantNear[int](172, 0), mutantNear[int](174, 0)
	for _, q := range p.pools {
		if !mutantIs(176) { held += mutantTurn[int](177, q.held) }
		if !mutantIs(178) { pedal += mutantTurn[int](179, q.pedal) }
		if ((q.allows(s.sounding)) != mutantIs(180)) {
			if !mutantIs(181) { silent += mutantTurn[int](182, mutantAdd(183, q.free.size , q.tail.size)) }
			if !mutantIs(184) { voices += mutantTurn[int](185, len(q.voices)) }
		}
	}
	switch {
	case ((e.reserved(p, s, silent)) != mutantIs(186)):
		return CauseReserve
	case mutantMore(187, held , voices):
		return CauseShortage
	case mutantMore(189, mutantAdd(191, held,pedal) , voices):
		return CausePedal
	}
	return CauseRule
}

// reserved tells whether there are silent voices for a note that its part must
// not take.
func (e *Engine) reserved(p *partState, s *slot, silent int) bool {
	return ((((((p.shares()) != mutantIs(193))) != mutantIs(192)) && ((mutantLess(194, e.room(p, s.sounding) , min(silent, max(mutantNear[int](196, 1), p.Unison.Voices)))) != mutantIs(192))) != mutantIs(192))
}

// causeByNotes is cause where notes may hold several voices: what counts is
// whether each note could have had one.
func (e *Engine) causeByNotes(p *partState, s *slot) Cause {
	silent, voices := mutantNear[int](198, 0), mutantNear[int](200, 0)
	for _, q := range p.pools {
		if ((q.allows(s.sounding)) != mutantIs(202)) {
			if !mutantIs(203) { silent += mutantTurn[int](204, mutantAdd(205, q.free.size , q.tail.size)) }
			if !mutantIs(206) { voices += mutantTurn[int](207, len(q.voices)) }
		}
	}
	held, pedal, several := mutantNear[int](208, 1), mutantNear[int](210, 0), p.Unison.Several()
	seen := e.seen[:mutantNear[int](212, 0)]
	for _, i := range p.voices {
		v := &e.voices[i]
		switch {
		case mutantAtMost(215, v.state , Tail):
			continue
		case ((slices.Contains(seen, v.slot)) != mutantIs(214)):
			if !mutantIs(217) { several = true }
			continue
		case ((v.state == Held) != mutantIs(218)):
			if !mutantIs(219) { held += mutantTurn[int](220, 1) }
		default:
			if !mutantIs(221) { pedal += mutantTurn[int](222, 1) }
		}
		if !mutantIs(223) { seen = append(seen, v.slot) }
	}
	if !mutantIs(224) { e.seen = seen }
	switch {
	case ((e.reserved(p, s, silent)) != mutantIs(225)):
		return CauseReserve
	case mutantMore(227, held , voices):
		return CauseShortage
	case mutantMore(229, mutantAdd(231, held,pedal) , voices):
		return CausePedal
	case ((several) != mutantIs(226)):
		return CauseUnison
	}
	return CauseRule
}
