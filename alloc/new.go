package alloc

import (
	"fmt"
	"math/rand/v2"
	"slices"
)

// MaxVoices is the largest number of voices an engine can have.
const MaxVoices = 4096

// partState is a part and what the engine remembers of it.
type partState struct {
	pools   []*pool
	pointer int32 // the voice last taken, of a stack the one at its last position; none
	shelf   int32 // where its open gates stand in a pool
	// looksBeyond: its picking rule may name a voice though none is free.
	looksBeyond bool
	special     bool // a reserve, a limit, unison, a zone or a window that drops notes
	detunes     bool
	Part
	voices  []int32 // all of them in service, ascending
	rivals  []int32 // parts with a reserve on voices that this one may use
	random  *rand.Rand
	window  Window    // from the lowest to the highest pitch of its voices
	blocks  [][]int32 // unison blocks: their voices in service
	waiting []int32   // slots of notes that wait for voices, the oldest first
}

// New returns an engine for a rack and its parts, all voices free. It refuses
// a configuration that names what is not there.
func New(cfg Config) (*Engine, error) {
	if err := cfg.check(); err != nil {
		return nil, err
	}
	e := &Engine{outer: outer{note: NoNote}}
	e.fleet.init(cfg.Voices, cfg.FreeDB)
	e.gates.init(cfg.Parts, cfg.MinGate, e, &e.now)
	for _, p := range cfg.Parts {
		e.parts = append(e.parts, partState{Part: p, pointer: none, random: rand.New(rand.NewPCG(p.Seed, 0))})
	}
	e.addShelves()
	e.addPools()
	e.freeAll()
	return e, nil
}

// addPools sorts the voices in service into pools by the parts that may use
// them and by their limits.
func (e *Engine) addPools() {
	type kind struct {
		users string
		state VoiceState
		keys  KeyRange
	}
	byKind := map[kind]*pool{}
	users := make([][]int, len(e.shares)) // by bank
	names := make([]string, len(e.shares))
	for b := range users {
		users[b] = e.usersOf(b)
		names[b] = fmt.Sprint(users[b])
	}
	for i := range e.voices {
		v := &e.rack[i]
		if !v.State.InService() || len(users[v.Bank]) == 0 {
			continue
		}
		k := kind{users: names[v.Bank], state: v.State}
		if v.State == Limited {
			k.keys = v.Keys
		}
		p := byKind[k]
		if p == nil {
			p = e.newPool(v, k.keys, users[v.Bank])
			byKind[k] = p
		}
		e.voices[i].pool, e.voices[i].place = p, int32(len(p.voices))
		p.voices = append(p.voices, int32(i))
		for _, u := range users[v.Bank] {
			e.parts[u].addVoice(int32(i), v.Window)
		}
	}
	for _, p := range e.pools {
		e.equip(p)
	}
	for i := range e.parts {
		e.findRivals(int32(i))
		p := &e.parts[i]
		e.equipUnison(p)
		p.looksBeyond = p.Pick == PickStrictRoundRobin || p.Pick == PickSameKey
		p.special = p.shares() || p.Unison.Several() || p.OutOfRange == DropNote || len(p.Zones) > 0
	}
}

func (e *Engine) findRivals(part int32) {
	p := &e.parts[part]
	for i := range e.parts {
		q := &e.parts[i]
		shares := slices.ContainsFunc(q.pools, func(x *pool) bool { return slices.Contains(p.pools, x) })
		if int32(i) != part && q.Reserve > 0 && shares {
			p.rivals = append(p.rivals, int32(i))
		}
	}
}

func (e *Engine) newPool(v *Voice, keys KeyRange, users []int) *pool {
	p := &pool{limited: v.State == Limited, keys: keys, idle: none}
	e.pools = append(e.pools, p)
	for _, u := range users {
		e.parts[u].pools = append(e.parts[u].pools, p)
	}
	return p
}

func (e *Engine) usersOf(bank int) []int {
	var users []int
	for i := range e.parts {
		if slices.Contains(e.parts[i].Banks, bank) {
			users = append(users, i)
		}
	}
	return users
}

func (p *partState) addVoice(i int32, w Window) {
	if len(p.voices) == 0 {
		p.window = w
	}
	p.window.Bounded = p.window.Bounded && w.Bounded
	p.window.Low, p.window.High = min(p.window.Low, w.Low), max(p.window.High, w.High)
	p.voices = append(p.voices, i)
}

// stealNeeds is the orders that each stealing rule looks at.
var stealNeeds = [...]needs{
	StealProtectOuter: needAttack, StealOldest: needAttack, StealNewest: needAttack,
	StealLowest: needKeys, StealHighest: needKeys, StealQuietest: needLevel,
	StealSoftest: needVelocity, StealNone: 0, StealHardNone: 0,
	StealFewestCuts: needLatest | needSoonest, StealLeastLost: needSoonest,
	StealLeastAudible: needWorth | needSoonest,
}

// equip gives a pool the orders that the rules of its parts look at.
func (e *Engine) equip(p *pool) {
	n := len(p.voices)
	p.free, p.tail = newSet(n), newSet(n)
	for range e.envelopes {
		p.tails = append(p.tails, e.inTail.grow())
	}
	var open, mixed needs
	isMixed := false
	for i := range e.parts {
		part := &e.parts[i]
		if !slices.Contains(part.pools, p) {
			continue
		}
		open |= stealNeeds[part.Steal]
		if part.MixClasses {
			isMixed = true
			mixed |= stealNeeds[part.Steal] &^ (needLevel | needLatest | needSoonest | needWorth)
		}
		e.equipPick(p, part.Pick)
		if part.Pick == PickSameKey {
			e.equipPick(p, part.Second)
		}
	}
	for range e.shelves {
		p.shelves = append(p.shelves, shelf{
			pedal: e.newRank(open, p), held: e.newRank(open, p)})
	}
	if isMixed {
		p.mixedTail = e.newRank(mixed, p)
	}
}

func (e *Engine) equipPick(p *pool, rule PickRule) {
	n := len(p.voices)
	switch rule {
	case PickLongestIdle:
		if p.idle == none {
			p.idle = e.inIdle.grow()
		}
	case PickSameKey:
		for len(p.lastOn) < keyNumbers {
			p.lastOn = append(p.lastOn, e.inLast.grow())
		}
	case PickNearest:
		fresh := newSet(n)
		p.fresh, p.freeOn, p.tailOn = &fresh, newBuckets(keyNumbers, n), newBuckets(keyNumbers, n)
	case PickBankSpread, PickBankFill:
		if p.banks == nil {
			e.equipBanks(p)
		}
	}
}
