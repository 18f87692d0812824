package slow

import (
	"slices"

	"choirloft/alloc"
)

// uses counts the voices that a part holds.
func (p *pool) uses(part int) int {
	count := 0
	for _, v := range p.voices {
		if v.sounds() && p.gates[v.note].Part == part {
			count++
		}
	}
	return count
}

// share tells whether some voice in service plays for both parts.
func (p *pool) share(a, b int) bool {
	for i, v := range p.voices {
		if serves(v) && p.inBanks(p.cfg.Parts[a], i) && p.inBanks(p.cfg.Parts[b], i) {
			return true
		}
	}
	return false
}

// notSounding counts those of the voices that are free or in their tail.
func (p *pool) notSounding(voices []int) int {
	count := 0
	for _, v := range voices {
		if !p.voices[v].sounds() {
			count++
		}
	}
	return count
}

// room is how many of the voices, those it may use for the key, the part may
// take without stealing a note: those its own reserve still lacks, or else
// what the reserves of others leave, and never past its limit.
func (p *pool) room(part int, usable []int) int {
	cfg, u, free := p.cfg.Parts[part], p.uses(part), p.notSounding(usable)
	lack := 0
	for q, other := range p.cfg.Parts {
		if q != part && p.share(part, q) {
			lack += max(0, other.Reserve-p.uses(q))
		}
	}
	room := max(free-lack, min(free, cfg.Reserve-u))
	if cfg.Limit > 0 {
		room = min(room, cfg.Limit-u)
	}
	return max(0, room)
}

// mayCut tells whether the part may take the voice from the note it sounds:
// one of its own, or, below its limit, one of a part of equal or lower
// priority that has more voices than its reserve.
func (p *pool) mayCut(part, v int) bool {
	if !p.voices[v].sounds() {
		return false
	}
	q := p.gates[p.voices[v].note].Part
	return q == part || !p.atLimit(part) && p.priority(v) >= p.cfg.Parts[part].Priority && p.uses(q) > p.cfg.Parts[q].Reserve
}

func (p *pool) atLimit(part int) bool {
	return p.cfg.Parts[part].Limit > 0 && p.uses(part) >= p.cfg.Parts[part].Limit
}

// cause says why a sounding note is cut, or the new one dropped. usable are
// the voices that could play it.
func (p *pool) cause(part int, usable []int) alloc.Cause {
	if free := p.notSounding(usable); free > 0 && p.room(part, usable) < min(free, max(1, p.cfg.Parts[part].Unison.Voices)) {
		return alloc.CauseReserve
	}
	held, pedal := []int{alloc.NoVoice}, []int{} // the notes; the new one is held
	of := &p.cfg.Parts[part].Unison
	unison := of.Voices > 1 || of.WhenShort == alloc.Blocks && len(of.Blocks) > 0
	for i, v := range p.voices {
		switch {
		case !p.inBanks(p.cfg.Parts[part], i) || !v.sounds():
			continue
		case slices.Contains(held, v.note) || slices.Contains(pedal, v.note):
			unison = true
		case v.state == alloc.Held:
			held = append(held, v.note)
		default:
			pedal = append(pedal, v.note)
		}
	}
	switch {
	case len(held) > len(usable):
		return alloc.CauseShortage
	case len(held)+len(pedal) > len(usable):
		return alloc.CausePedal
	case unison:
		return alloc.CauseUnison
	}
	return alloc.CauseRule
}
