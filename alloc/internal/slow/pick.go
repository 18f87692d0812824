package slow

import (
	"slices"

	"choirloft/alloc"
	"choirloft/midi"
)

// inBanks tells whether the voice stands in one of the part's banks.
func (p *pool) inBanks(part alloc.Part, v int) bool {
	return slices.Contains(part.Banks, p.voices[v].Bank)
}

// serves tells whether a voice is in service: not out, and no spare.
func serves(v voice) bool { return v.State == alloc.In || v.State == alloc.Limited }

// tracks tells whether the voice can play the key: a limited voice plays
// nothing but its keys.
func tracks(v voice, key int) bool {
	return v.State != alloc.Limited || int(v.Keys.Low) <= key && key <= int(v.Keys.High)
}

// reaches tells whether a pitch lies in the voice's window, or need not.
func reaches(part alloc.Part, v voice, pitch float64) bool {
	w := v.Window
	return part.OutOfRange != alloc.DropNote || !w.Bounded || w.Low <= pitch && pitch <= w.High
}

// usable lists the voices that could play the note, in ascending number.
func (p *pool) usable(h happening) (voices []int, outOfWindow bool) {
	n := p.gates[h.note]
	part := p.cfg.Parts[n.Part]
	for i, v := range p.voices {
		if !serves(v) || !p.inBanks(part, i) || !tracks(v, n.Sounding) {
			continue
		}
		if !reaches(part, v, float64(n.Sounding)+bendOf(part, h.bend)) {
			outOfWindow = true
			continue
		}
		voices = append(voices, i)
	}
	return voices, outOfWindow && len(voices) == 0
}

// mapped leaves of the voices only the one that the part's key map names.
func mapped(part alloc.Part, key midi.Key, usable []int) []int {
	if v, ok := part.Fixed[key]; ok && slices.Contains(usable, v) {
		return []int{v}
	}
	return nil
}

// choose finds the voice for a note that starts, or NoVoice, and the cause.
func (p *pool) choose(h happening) (int, alloc.Cause) {
	note, n := h.note, p.gates[h.note]
	part := p.cfg.Parts[n.Part]
	usable, outOfWindow := p.usable(h)
	if outOfWindow {
		return alloc.NoVoice, alloc.CauseRange
	}
	v := p.pick(part, part.Pick, note, usable)
	if v == alloc.NoVoice {
		v = p.steal(part, note, p.victims(part, note, usable))
	}
	switch {
	case v == alloc.NoVoice || p.voices[v].sounds():
		return v, p.cause(part, len(usable))
	case p.voices[v].state == alloc.Tail:
		return v, alloc.CauseTail
	}
	return v, alloc.CauseNone
}

// cause says why a sounding note is cut, or the new one dropped, when n voices
// could play it.
func (p *pool) cause(part alloc.Part, n int) alloc.Cause {
	held, pedal := 1, 0 // the new note is held
	for i, v := range p.voices {
		if !p.inBanks(part, i) {
			continue
		}
		switch v.state {
		case alloc.Held:
			held++
		case alloc.Pedal:
			pedal++
		}
	}
	switch {
	case held > n:
		return alloc.CauseShortage
	case held+pedal > n:
		return alloc.CausePedal
	}
	return alloc.CauseRule
}

// victims are the voices that may be stolen: all that are usable, but only the
// next one under strict round-robin, and only the mapped one under fixed.
func (p *pool) victims(part alloc.Part, note int, usable []int) []int {
	rule := part.Pick
	if rule == alloc.PickSameKey {
		rule = part.Second
	}
	switch {
	case rule == alloc.PickFixed:
		return mapped(part, p.gates[note].Key, usable)
	case rule == alloc.PickStrictRoundRobin && len(usable) > 0:
		return []int{p.next(p.gates[note].Part, usable)}
	}
	return usable
}

// pick chooses a voice that can be had without stealing, or NoVoice.
func (p *pool) pick(part alloc.Part, rule alloc.PickRule, note int, usable []int) int {
	n := p.gates[note]
	var free []int // the candidates
	for _, i := range usable {
		if s := p.voices[i].state; s == alloc.Free || s == alloc.Tail && part.TailsUnknown {
			free = append(free, i)
		}
	}
	switch rule {
	case alloc.PickSameKey:
		if v := p.sameKey(n.Sounding, usable); v != alloc.NoVoice {
			return v
		}
		return p.pick(part, part.Second, note, usable)
	case alloc.PickFixed:
		free = keep(free, func(v int) bool { return slices.Contains(mapped(part, n.Key, usable), v) })
	case alloc.PickStrictRoundRobin:
		if len(usable) > 0 {
			if v := p.next(n.Part, usable); !p.voices[v].sounds() {
				return v
			}
		}
		return alloc.NoVoice
	}
	if len(free) == 0 {
		return alloc.NoVoice
	}
	switch rule {
	case alloc.PickRoundRobin:
		return p.next(n.Part, free)
	case alloc.PickLongestIdle:
		return best(free, func(a, b int) bool { return p.idlesLonger(p.voices[a], p.voices[b]) })
	case alloc.PickBankSpread:
		return best(free, func(a, b int) bool { return p.busy(a) < p.busy(b) || p.busy(a) == p.busy(b) && p.bankBefore(a, b) })
	case alloc.PickBankFill:
		return best(free, func(a, b int) bool { return p.busy(a) > p.busy(b) || p.busy(a) == p.busy(b) && p.bankBefore(a, b) })
	case alloc.PickNearest:
		return best(free, func(a, b int) bool { return nearer(p.voices[a], p.voices[b], n.Sounding) })
	case alloc.PickRandom:
		return free[p.rng[n.Part].IntN(len(free))]
	}
	return free[0] // lowest; fixed has no other
}

// best is the first of the voices, which ascend, that no other one beats.
func best(voices []int, beats func(a, b int) bool) int {
	found := voices[0]
	for _, v := range voices {
		if beats(v, found) {
			found = v
		}
	}
	return found
}

// next is the first of the voices after the one the part took last, cyclic.
func (p *pool) next(part int, voices []int) int {
	for _, v := range voices {
		if v > p.pointer[part] {
			return v
		}
	}
	return voices[0]
}

// idlesLonger: never used first, then the earliest gate-off.
func (p *pool) idlesLonger(a, b voice) bool {
	if !a.used() || !b.used() {
		return !a.used() && b.used()
	}
	return a.low < b.low
}

// nearer: the smaller pitch jump, a voice never used last.
func nearer(a, b voice, key int) bool {
	if !a.used() || !b.used() {
		return a.used() && !b.used()
	}
	return max(key-a.key, a.key-key) < max(key-b.key, b.key-key)
}

// busy counts the in-service voices of v's bank that are not free.
func (p *pool) busy(v int) int {
	count := 0
	for _, w := range p.voices {
		if w.Bank == p.voices[v].Bank && serves(w) && w.state != alloc.Free {
			count++
		}
	}
	return count
}

func (p *pool) bankBefore(a, b int) bool { return p.voices[a].Bank < p.voices[b].Bank }

// sameKey is the newest of the voices, free or in their tail, that last played
// the key; NoVoice if none did.
func (p *pool) sameKey(key int, usable []int) int {
	found := alloc.NoVoice
	for _, i := range usable {
		v := p.voices[i]
		if v.sounds() || !v.used() || v.key != key {
			continue
		}
		if found == alloc.NoVoice || v.attack > p.voices[found].attack {
			found = i
		}
	}
	return found
}
