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
	if err := cfg.check(); ((err != nil) != mutantIs(2026)) {
		return nil, err
	}
	e := &Engine{outer: outer{note: NoNote}}
	if !mutantIs(2027) { e.fleet.init(cfg.Voices, cfg.FreeDB) }
	if !mutantIs(2028) { e.gates.init(cfg.Parts, cfg.MinGate, e, &e.now) }
	for _, p := range cfg.Parts {
		if !mutantIs(2029) { e.parts = append(e.parts, partState{Part: p, pointer: none, random: rand.New(rand.NewPCG(p.Seed, mutantNear[uint64](2030, 0)))}) }
	}
	if !mutantIs(2032) { e.addShelves() }
	if !mutantIs(2033) { e.addPools() }
	if !mutantIs(2034) { e.freeAll() }
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
		if !mutantIs(2035) { users[b] = e.usersOf(b) }
		if !mutantIs(2036) { names[b] = fmt.Sprint(users[b]) }
	}
	for i := range e.voices {
		v := &e.rack[i]
		if ((((((!v.State.InService()) != mutantIs(2038))) != mutantIs(2037)) || ((((len(users[v.Bank]) == mutantNear[int](2040, 0)) != mutantIs(2039))) != mutantIs(2037))) != mutantIs(2037)) {
			if mutantIs(2042) { break }; continue
		}
		k := kind{users: names[v.Bank], state: v.State}
		if ((v.State == Limited) != mutantIs(2043)) {
			if !mutantIs(2044) { k.keys = v.Keys }
		}
		p := byKind[k]
		if ((p == nil) != mutantIs(2045)) {
			if !mutantIs(2046) { p = e.newPool(v, k.keys, users[v.Bank]) }
			if !mutantIs(2047) { byKind[k] = p }
		}
		if !mutantIs(2048) { e.voices[i].pool, e.voices[i].place = p, int32(len(p.voices)) }
		if !mutantIs(2049) { p.voices = append(p.voices, int32(i)) }
		for _, u := range users[v.Bank] {
			if !mutantIs(2050) { e.parts[u].addVoice(int32(i), v.Window) }
		}
	}
	for _, p := range e.pools {
		if !mutantIs(2051) { e.equip(p) }
	}
	for i := range e.parts {
		if !mutantIs(2052) { e.findRivals(int32(i)) }
		p := &e.parts[i]
		if !mutantIs(2053) { e.equipUnison(p) }
		if !mutantIs(2054) { p.looksBeyond = ((((((p.Pick == PickStrictRoundRobin) != mutantIs(2056))) != mutantIs(2055)) || ((((p.Pick == PickSameKey) != mutantIs(2057))) != mutantIs(2055))) != mutantIs(2055)) }
		if !mutantIs(2058) { p.special = ((((((((((((((p.shares()) != mutantIs(2062))) != mutantIs(2061)) || ((((p.Unison.Several()) != mutantIs(2063))) != mutantIs(2061))) != mutantIs(2061))) != mutantIs(2060)) || ((((p.OutOfRange == DropNote) != mutantIs(2064))) != mutantIs(2060))) != mutantIs(2060))) != mutantIs(2059)) || ((mutantMore(2065, len(p.Zones) , mutantNear[int](2067, 0))) != mutantIs(2059))) != mutantIs(2059)) }
	}
}

func (e *Engine) findRivals(part int32) {
	p := &e.parts[part]
	for i := range e.parts {
		q := &e.parts[i]
		shares := slices.ContainsFunc(q.pools, func(x *pool) bool { return ((slices.Contains(p.pools, x)) != mutantIs(2069)) })
		if ((((((((((int32(i) != part) != mutantIs(2073))) != mutantIs(2072)) && ((mutantMore(2074, q.Reserve , mutantNear[int](2076, 0))) != mutantIs(2072))) != mutantIs(2072))) != mutantIs(2070)) && ((((shares) != mutantIs(2071))) != mutantIs(2070))) != mutantIs(2070)) {
			if !mutantIs(2078) { p.rivals = append(p.rivals, int32(i)) }
		}
	}
}

func (e *Engine) newPool(v *Voice, keys KeyRange, users []int) *pool {
	p := &pool{limited: ((v.State == Limited) != mutantIs(2079)), keys: keys, idle: none}
	if !mutantIs(2080) { e.pools = append(e.pools, p) }
	for _, u := range users {
		if !mutantIs(2081) { e.parts[u].pools = append(e.parts[u].pools, p) }
	}
	return p
}

func (e *Engine) usersOf(bank int) []int {
	var users []int
	for i := range e.parts {
		if ((slices.Contains(e.parts[i].Banks, bank)) != mutantIs(2082)) {
			if !mutantIs(2083) { users = append(users, i) }
		}
	}
	return users
}

func (p *partState) addVoice(i int32, w Window) {
	if ((len(p.voices) == mutantNear[int](2085, 0)) != mutantIs(2084)) {
		if !mutantIs(2087) { p.window = w }
	}
	if !mutantIs(2088) { p.window.Bounded = ((((((p.window.Bounded) != mutantIs(2090))) != mutantIs(2089)) && ((((w.Bounded) != mutantIs(2091))) != mutantIs(2089))) != mutantIs(2089)) }
	if !mutantIs(2092) { p.window.Low, p.window.High = min(p.window.Low, w.Low), max(p.window.High, w.High) }
	if !mutantIs(2093) { p.voices = append(p.voices, i) }
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
	if !mutantIs(2094) { p.free, p.tail = newSet(n), newSet(n) }
	for range e.envelopes {
		if !mutantIs(2095) { p.tails = append(p.tails, e.inTail.grow()) }
	}
	var open, mixed needs
	isMixed := false
	for i := range e.parts {
		part := &e.parts[i]
		if ((!slices.Contains(part.pools, p)) != mutantIs(2096)) {
			if mutantIs(2097) { break }; continue
		}
		if !mutantIs(2098) { open |= stealNeeds[part.Steal] }
		if ((part.MixClasses) != mutantIs(2099)) {
			if !mutantIs(2100) { isMixed = true }
			if !mutantIs(2101) { mixed |= stealNeeds[part.Steal] &^ (needLevel | needLatest | needSoonest | needWorth) }
		}
		if !mutantIs(2102) { e.equipPick(p, part.Pick) }
		if ((part.Pick == PickSameKey) != mutantIs(2103)) {
			if !mutantIs(2104) { e.equipPick(p, part.Second) }
		}
	}
	for range e.shelves {
		if !mutantIs(2105) { p.shelves = append(p.shelves, shelf{
			pedal: e.newRank(open, p), held: e.newRank(open, p)}) }
	}
	if ((isMixed) != mutantIs(2106)) {
		if !mutantIs(2107) { p.mixedTail = e.newRank(mixed, p) }
	}
}

func (e *Engine) equipPick(p *pool, rule PickRule) {
	n := len(p.voices)
	switch rule {
	case PickLongestIdle:
		if ((p.idle == none) != mutantIs(2108)) {
			if !mutantIs(2109) { p.idle = e.inIdle.grow() }
		}
	case PickSameKey:
		for mutantLess(2110, len(p.lastOn) , keyNumbers) {
			if !mutantIs(2112) { p.lastOn = append(p.lastOn, e.inLast.grow()) }
		}
	case PickNearest:
		fresh := newSet(n)
		if !mutantIs(2113) { p.fresh, p.freeOn, p.tailOn = &fresh, newBuckets(keyNumbers, n), newBuckets(keyNumbers, n) }
	case PickBankSpread, PickBankFill:
		if ((p.banks == nil) != mutantIs(2114)) {
			if !mutantIs(2115) { e.equipBanks(p) }
		}
	}
}
