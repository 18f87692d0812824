package slow

import (
	"math/rand/v2"
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
func (p *pool) usable(note int) (voices []int, outOfWindow bool) {
	part := p.cfg.Parts[p.gates[note].Part]
	now := p.heard[note]
	for i, v := range p.voices {
		if !serves(v) || !p.inBanks(part, i) || !tracks(v, now.key) {
			continue
		}
		if !reaches(part, v, float64(now.key)+now.bend) {
			outOfWindow = true
			continue
		}
		voices = append(voices, i)
	}
	return voices, outOfWindow && len(voices) == 0
}

// mapped leaves of the units only the one with the voice that the part's key
// map names for a sounding key, by what came in.
func (p *pool) mapped(part alloc.Part, key int, units []int) []int {
	voice, ok := part.Fixed[midi.Key(key-part.Transpose)]
	if !ok {
		return nil
	}
	return keep(units, func(v int) bool { return slices.Contains(p.block(part, v), voice) })
}

// victims are the units that may be stolen: all that are usable, but only the
// next one under strict round-robin, and only the mapped one under fixed.
func (p *pool) victims(part alloc.Part, note int, usable []int) []int {
	rule := part.Pick
	if rule == alloc.PickSameKey {
		rule = part.Second
	}
	switch {
	case rule == alloc.PickFixed:
		return p.mapped(part, p.heard[note].key, usable)
	case rule == alloc.PickStrictRoundRobin && len(usable) > 0:
		return []int{p.next(p.gates[note].Part, usable)}
	}
	return usable
}

// pick chooses a unit that can be had without stealing, or NoVoice. Some may
// be more than the part can afford.
func (p *pool) pick(part alloc.Part, rule alloc.PickRule, note int, units []int, affordable func(int) bool) int {
	n, key := p.gates[note], p.heard[note].key
	usable := keep(units, func(v int) bool { return p.voices[v].sounds() || affordable(v) })
	var free []int // the candidates
	for _, i := range usable {
		if s := p.voices[i].state; s == alloc.Free || s == alloc.Tail && part.TailsUnknown {
			free = append(free, i)
		}
	}
	switch rule {
	case alloc.PickSameKey:
		if v := p.sameKey(key, usable); v != alloc.NoVoice {
			return v
		}
		return p.pick(part, part.Second, note, units, affordable)
	case alloc.PickFixed:
		free = keep(free, func(v int) bool { return slices.Contains(p.mapped(part, key, usable), v) })
	case alloc.PickStrictRoundRobin:
		if len(units) > 0 {
			if v := p.next(n.Part, units); !p.voices[v].sounds() && affordable(v) {
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
		return best(free, func(a, b int) bool { return nearer(p.voices[a], p.voices[b], key) })
	case alloc.PickRandom:
		return free[rand.New(&p.rng[n.Part]).IntN(len(free))]
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

// next is the first of the units after the one the part took last, cyclic.
// Blocks go round by their first voices.
func (p *pool) next(part int, units []int) int {
	first := func(v int) int { return p.block(p.cfg.Parts[part], v)[0] }
	last := alloc.NoVoice
	if v := p.pointer[part]; v != alloc.NoVoice {
		last = first(v)
	}
	steps := func(unit int) int { // a whole round if it is the last one itself
		n := len(p.voices)
		return (first(unit)-last-1+n)%n + 1
	}
	return best(units, func(a, b int) bool { return steps(a) < steps(b) })
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
