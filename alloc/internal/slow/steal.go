package slow

import (
	"math"
	"slices"
	"time"

	"choirloft/alloc"
)

// newcomer stands for the new note among those that may be given up.
const newcomer = -2

// steal chooses whom the note takes its voice from. NoVoice means that the
// note itself is given up.
func (p *pool) steal(part alloc.Part, note int, victims []int) int {
	tails := p.inState(victims, alloc.Tail)
	group, own := p.lowestPriority(part, victims)
	pedals, helds := p.inState(group, alloc.Pedal), p.inState(group, alloc.Held)
	switch {
	case part.Steal == alloc.StealHardNone:
		return alloc.NoVoice
	case part.Steal == alloc.StealNone:
		return p.quietestTail(tails)
	case part.Steal == alloc.StealProtectOuter:
		return p.protectOuter(part, note, tails, pedals, helds)
	}
	if own && (part.NewcomerCompetes || part.Steal.Foresight()) {
		helds = append([]int{newcomer}, helds...)
	}
	if part.MixClasses && !part.Steal.Foresight() {
		return p.giveUp(part, note, slices.Concat(helds, pedals, tails))
	}
	if len(tails) > 0 {
		return p.quietestTail(tails)
	}
	if part.Steal.Foresight() {
		for _, v := range victims {
			if p.voices[v].sounds() && p.priority(v) >= part.Priority && p.future.Ends[p.voices[v].note] <= p.now {
				return v // its interval ends here anyway: this is no cut
			}
		}
		if own && p.future.Ends[note] <= p.now {
			return alloc.NoVoice // struck again at this instant: nothing is lost with it
		}
		return p.giveUp(part, note, slices.Concat(helds, pedals))
	}
	if len(pedals) > 0 {
		return p.giveUp(part, note, pedals)
	}
	return p.giveUp(part, note, helds)
}

// lowestPriority leaves of the sounding victims those of the parts with the
// lowest priority. A part takes from none above its own, where the newcomer
// stands. own tells that it came to that, or that nobody is left.
func (p *pool) lowestPriority(part alloc.Part, victims []int) (group []int, own bool) {
	lowest := part.Priority
	for _, i := range victims {
		if p.voices[i].sounds() {
			lowest = max(lowest, p.priority(i))
		}
	}
	for _, i := range victims {
		if p.voices[i].sounds() && p.priority(i) == lowest {
			group = append(group, i)
		}
	}
	return group, lowest == part.Priority
}

// priority is that of the part whose note the voice plays.
func (p *pool) priority(i int) int { return p.cfg.Parts[p.gates[p.voices[i].note].Part].Priority }

// inState picks out the voices that are in that state.
func (p *pool) inState(voices []int, s alloc.State) []int {
	var found []int
	for _, v := range voices {
		if p.voices[v].state == s {
			found = append(found, v)
		}
	}
	return found
}

// quietestTail: quietest; then oldest; then lowest number.
func (p *pool) quietestTail(tails []int) int {
	found := alloc.NoVoice
	for _, i := range tails {
		if found == alloc.NoVoice {
			found = i
			continue
		}
		a, b := p.voices[i], p.voices[found]
		x, _ := a.levelDB(p.now)
		y, _ := b.levelDB(p.now)
		if x < y || x == y && a.attack < b.attack {
			found = i
		}
	}
	for _, i := range tails {
		a, b := p.voices[i], p.voices[found]
		x, _ := a.levelDB(p.now)
		y, _ := b.levelDB(p.now)
		p.doubt = p.doubt || !p.alike(a, b) && math.Abs(x-y) <= 1e-8
	}
	return found
}

// alike tells whether two voices have the same level by their origin: they
// attacked alike, or their tails began together, and fall alike if they have
// begun to, at full or at a sustain that no decay leads to. Levels that are equal by another
// way, such as a rise taken up again at another moment, may differ in the last bit elsewhere.
func (p *pool) alike(a, b voice) bool {
	began := a.Envelope == b.Envelope && a.from == b.from && a.came == b.came && a.attack == b.attack
	if a.state != alloc.Tail || b.state != alloc.Tail {
		return a.state == b.state && began
	}
	falls := a.low == p.now || a.Envelope.Release == b.Envelope.Release
	return a.low == b.low && a.lowDB == b.lowDB && falls && (began || a.settled() && b.settled())
}

// settled tells whether the level at gate-off was free of rounding.
func (v voice) settled() bool {
	e := v.Envelope
	return v.lowDB == 0 || e.Decay == 0 && v.lowDB == 20*math.Log10(e.Sustain)
}

// giveUp chooses by the rule among voices and, perhaps, the newcomer. All
// equal: the newcomer, then the lowest number.
func (p *pool) giveUp(part alloc.Part, note int, among []int) int {
	slices.Sort(among) // the newcomer comes first
	found := alloc.NoVoice
	for k, i := range among {
		if k == 0 || p.rather(part.Steal, p.standing(i, note), p.standing(found, note)) {
			found = i
		}
	}
	if part.Steal == alloc.StealQuietest && len(among) > 0 {
		p.doubtQuietest(found, note, among)
	}
	if found == newcomer {
		return alloc.NoVoice
	}
	return found
}

// doubtQuietest notes whether another is as quiet as the quietest but for
// rounding, which leaves a last bit of full in the level of an attack. What is
// at rest, at full or at silence is so exactly.
func (p *pool) doubtQuietest(found, note int, among []int) {
	least := p.standing(found, note).loudness()
	for _, i := range among {
		l := p.standing(i, note).loudness()
		if i == found || math.Abs(l-least) > 1e-9*max(l, least)+1e-13 && max(l, least) > 1e-9 {
			continue
		}
		if p.exact(i) && p.exact(found) || i >= 0 && found >= 0 && p.alike(p.voices[i], p.voices[found]) &&
			p.voices[i].velocity == p.voices[found].velocity {
			continue
		}
		p.doubt = true
	}
}

// exact tells whether the level of a voice is free of rounding: its attack is
// over, or has not begun, and it has no decay.
func (p *pool) exact(i int) bool {
	if i == newcomer {
		return true
	}
	v := p.voices[i]
	if v.state == alloc.Tail {
		return v.Envelope.Release == 0
	}
	level, _ := v.level(p.now)
	return v.from == 0 && v.attack == p.now && v.Envelope.Attack > 0 || v.Envelope.Sustain == 1 && level == 1 ||
		v.Envelope.Decay == 0 && level == v.Envelope.Sustain
}

// standing is what the stealing rules look at.
type standing struct {
	attack   time.Duration
	key      int
	level    float64 // 0–1, velocity left out
	velocity uint8
	end      time.Duration // these two only where the future is known
	worth    int64
}

func (s standing) loudness() float64 { return s.level * float64(s.velocity) }

// standing of a voice, or of the newcomer: its attack is now, and it is taken
// for full.
func (p *pool) standing(i, note int) standing {
	if i == newcomer {
		n := p.gates[note]
		s := standing{attack: p.now, key: p.heard[note].key, level: 1, velocity: n.Velocity}
		return p.foreseen(s, note)
	}
	v := p.voices[i]
	s := standing{attack: v.attack, key: v.key, velocity: v.velocity}
	if p.cfg.Parts[p.gates[note].Part].Steal == alloc.StealQuietest {
		s.level = p.level(i)
	}
	return p.foreseen(s, v.note)
}

// foreseen adds what is known of a note's future.
func (p *pool) foreseen(s standing, note int) standing {
	if p.future.Ends != nil {
		s.end = p.future.Ends[note]
	}
	if p.future.Worth != nil {
		s.worth = p.future.Worth[note]
	}
	return s
}

// rather tells whether the rule gives a up rather than b.
func (p *pool) rather(rule alloc.StealRule, a, b standing) bool {
	switch rule {
	case alloc.StealOldest:
		return a.attack < b.attack
	case alloc.StealNewest:
		return a.attack > b.attack
	case alloc.StealLowest:
		return a.key < b.key
	case alloc.StealHighest:
		return a.key > b.key
	case alloc.StealQuietest:
		return a.loudness() < b.loudness()
	case alloc.StealSoftest:
		return a.velocity < b.velocity
	case alloc.StealFewestCuts:
		return a.end > b.end
	case alloc.StealLeastLost:
		return a.end < b.end
	case alloc.StealLeastAudible:
		return a.worth < b.worth
	}
	panic("slow: no such stealing rule")
}

// outerKeys are the lowest and the highest key among all that is held or on
// the pedal in the part's banks, and the new key.
func (p *pool) outerKeys(note int) (low, high int) {
	n := p.gates[note]
	low, high = p.heard[note].key, p.heard[note].key
	for i, v := range p.voices {
		if p.inBanks(p.cfg.Parts[n.Part], i) && v.sounds() {
			low, high = min(low, v.key), max(high, v.key)
		}
	}
	return low, high
}

// outer tells whether the key is the lowest or the highest when note starts.
func (p *pool) outer(note int, key int16) bool {
	low, high := p.outerKeys(note)
	return int(key) == low || int(key) == high
}

// protectOuter takes the oldest, but the lowest and the highest key last: an
// inner pedal first, then an inner held, then the top, then the bass.
func (p *pool) protectOuter(part alloc.Part, note int, tails, pedals, helds []int) int {
	low, high := p.outerKeys(note)
	inner := func(v int) bool { return p.voices[v].key != low && p.voices[v].key != high }
	top := func(v int) bool { return p.voices[v].key == high }
	bass := func(v int) bool { return p.voices[v].key == low }
	if part.MixClasses {
		all := slices.Concat(tails, keep(pedals, inner), keep(helds, inner))
		if v := p.oldest(all); v != alloc.NoVoice {
			return v
		}
	} else if len(tails) > 0 {
		return p.quietestTail(tails)
	}
	for _, class := range [][]int{keep(pedals, inner), keep(helds, inner),
		keep(pedals, top), keep(helds, top), keep(pedals, bass), keep(helds, bass)} {
		if v := p.oldest(class); v != alloc.NoVoice {
			return v
		}
	}
	return alloc.NoVoice
}

// oldest is the voice with the earliest attack, then the lowest number.
func (p *pool) oldest(voices []int) int {
	found := alloc.NoVoice
	for _, i := range voices {
		if found == alloc.NoVoice || p.voices[i].attack < p.voices[found].attack ||
			p.voices[i].attack == p.voices[found].attack && i < found {
			found = i
		}
	}
	return found
}

func keep(voices []int, wanted func(int) bool) []int {
	var kept []int
	for _, v := range voices {
		if wanted(v) {
			kept = append(kept, v)
		}
	}
	return kept
}
