package alloc

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
)

// MaxVoices is the largest number of voices an engine can have.
const MaxVoices = 4096

// partState is a part and what the engine remembers of it.
type partState struct {
	Part
	pools  []*pool
	voices []int32 // all of them in service, ascending
	// shelf is the part's standing among the priorities in use, the lowest
	// priority first: it may take voices from shelves 0 … shelf.
	shelf   int32
	pointer int32 // the voice last taken; none
	random  *rand.Rand
	window  Window // from the lowest to the highest pitch of its voices
}

// New returns an engine for a rack and its parts, all voices free. It refuses
// a configuration that names what is not there.
func New(cfg Config) (*Engine, error) {
	if err := cfg.check(); err != nil {
		return nil, err
	}
	e := &Engine{rack: cfg.Voices, freeDB: cfg.FreeDB, voices: make([]voice, len(cfg.Voices))}
	e.gates.init(cfg.Parts, cfg.MinGate, e)
	for _, l := range []*links{&e.inAttack, &e.inIdle, &e.inTail, &e.inLast, &e.inQuiet, &e.inChannel} {
		*l = make(links, len(e.voices))
	}
	e.addParts(cfg.Parts)
	e.addVoices()
	e.addPools()
	e.freeAll()
	return e, nil
}

func (cfg *Config) check() error {
	var errs []error
	if len(cfg.Voices) > MaxVoices {
		errs = append(errs, fmt.Errorf("%d voices, at most %d", len(cfg.Voices), MaxVoices))
	}
	if cfg.FreeDB > 0 || cfg.MinGate < 0 {
		errs = append(errs, fmt.Errorf("free level %g dB and minimum gate %v: neither may be above full or below 0", cfg.FreeDB, cfg.MinGate))
	}
	banks := map[int]bool{}
	for i, v := range cfg.Voices {
		banks[v.Bank] = true
		if i > 0 && v.Bank < cfg.Voices[i-1].Bank {
			errs = append(errs, fmt.Errorf("voice %d: bank %d after bank %d, voices stand bank by bank", i+1, v.Bank, cfg.Voices[i-1].Bank))
		}
		if e := v.Envelope; v.Bank < 0 || e.Attack < 0 || e.Decay < 0 || e.Release < 0 || !(e.Sustain >= 0 && e.Sustain <= 1) {
			errs = append(errs, fmt.Errorf("voice %d: bank %d, envelope %+v out of range", i+1, v.Bank, e))
		}
	}
	for _, p := range cfg.Parts {
		for _, b := range p.Banks {
			if !banks[b] {
				errs = append(errs, fmt.Errorf("part %s: no voice in bank %d", p.Name, b))
			}
		}
		if p.Transpose < -48 || p.Transpose > 48 {
			errs = append(errs, fmt.Errorf("part %s: transpose %d, allowed are -48 to 48", p.Name, p.Transpose))
		}
		if p.Pick == PickSameKey && p.Second == PickSameKey {
			errs = append(errs, fmt.Errorf("part %s: same-key cannot be its own second rule", p.Name))
		}
	}
	return errors.Join(errs...)
}

func (e *Engine) addParts(parts []Part) {
	var standings []int
	for i := range parts {
		standings = append(standings, parts[i].Priority)
	}
	slices.SortFunc(standings, func(a, b int) int { return b - a })
	standings = slices.Compact(standings)
	for i := range parts {
		e.parts = append(e.parts, partState{Part: parts[i],
			shelf: int32(slices.Index(standings, parts[i].Priority))})
	}
}

func (e *Engine) addVoices() {
	for i := range e.voices {
		env := e.rack[i].Envelope
		e.windows = append(e.windows, e.rack[i].Window)
		n := slices.Index(e.envelopes, env)
		if n < 0 {
			n = len(e.envelopes)
			e.envelopes = append(e.envelopes, env)
		}
		e.voices[i].envelope = uint16(n)
		e.shares = append(e.shares, make([][]share, max(0, e.rack[i].Bank+1-len(e.shares)))...)
	}
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
		if v.State == Out || v.State == Spare || len(users[v.Bank]) == 0 {
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
}

func (e *Engine) newPool(v *Voice, keys KeyRange, users []int) *pool {
	p := &pool{limited: v.State == Limited, keys: keys}
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

// equip gives a pool the orders that the rules of its parts look at.
func (e *Engine) equip(p *pool) {
	n := len(p.voices)
	p.free, p.tail = newSet(n), newSet(n)
	p.tails = make([]list, len(e.envelopes))
	var open, mixed needs
	shelves := int32(0)
	isMixed := false
	for i := range e.parts {
		part := &e.parts[i]
		if !slices.Contains(part.pools, p) {
			continue
		}
		shelves = max(shelves, part.shelf+1)
		open |= stealNeeds[part.Steal]
		if part.MixClasses {
			isMixed = true
			mixed |= stealNeeds[part.Steal] &^ (needLevel | needLatest | needSoonest)
		}
		e.equipPick(p, part.Pick)
		if part.Pick == PickSameKey {
			e.equipPick(p, part.Second)
		}
	}
	for range shelves {
		p.shelves = append(p.shelves, shelf{
			pedal: newRank(open, p, len(e.envelopes), len(e.voices)),
			held:  newRank(open, p, len(e.envelopes), len(e.voices))})
	}
	if isMixed {
		p.mixedTail = newRank(mixed, p, len(e.envelopes), len(e.voices))
	}
}

func (e *Engine) equipPick(p *pool, rule PickRule) {
	n := len(p.voices)
	switch rule {
	case PickLongestIdle:
		p.idle = &idleOrder{}
	case PickSameKey:
		p.lastOn = new([keyNumbers]list)
	case PickNearest:
		fresh := newSet(n)
		p.fresh, p.freeOn, p.tailOn = &fresh, newBuckets(keyNumbers, n), newBuckets(keyNumbers, n)
	case PickBankSpread, PickBankFill:
		if p.banks == nil {
			e.equipBanks(p)
		}
	}
}

func (e *Engine) equipBanks(p *pool) {
	var firsts []int32
	last, inBank, largest := -1, map[int]int{}, 0
	for place, i := range p.voices {
		if b := e.rack[i].Bank; b != last {
			firsts = append(firsts, int32(place))
			last = b
		}
		e.voices[i].bank = uint16(len(firsts) - 1)
	}
	for i := range e.rack {
		b := e.rack[i].Bank
		inBank[b]++
		largest = max(largest, inBank[b])
	}
	p.banks = newBankOrder(firsts, largest)
	for n, f := range firsts {
		b := e.rack[p.voices[f]].Bank
		e.shares[b] = append(e.shares[b], share{order: p.banks, bank: uint16(n)})
	}
}

// freeAll puts every voice into its first state: free, never used.
func (e *Engine) freeAll() {
	for _, p := range e.pools {
		for n := range p.tails {
			p.tails[n] = empty
		}
		if p.idle != nil {
			p.idle.list = empty
		}
		if p.lastOn != nil {
			for k := range p.lastOn {
				p.lastOn[k] = empty
			}
		}
		for _, i := range p.voices {
			e.voices[i].offAt, e.voices[i].note, e.voices[i].slot = neverUsed, NoNote, none
			e.enterFree(i)
			e.enterIdle(p, i)
		}
	}
	for i := range e.parts {
		p := &e.parts[i]
		p.pointer = none
		p.random = rand.New(rand.NewPCG(p.Seed, 0))
	}
}
