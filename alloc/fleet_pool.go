package alloc

import "time"

// pool is a set of voices that the same parts may use for the same keys. A
// part draws on one pool or on several; most rigs have one for each group of
// parts that share their banks.
type pool struct {
	voices  []int32 // numbers, ascending; a voice's place is its index here
	limited bool
	keys    KeyRange // of a limited pool

	free, tail set // places
	held       int
	pedal      int
	sounding   [4]uint64 // keys of HELD and PEDAL voices, by keyBucket
	onKey      [keyNumbers]uint16

	tails   []int32 // by envelope: list of tails, the quietest first
	shelves []shelf

	// Orders that only some rules look at; nil where no part needs them.
	idle      int32    // list of FREE and TAIL by gate-off, never used first; none
	lastOn    []int32  // by last key: list of FREE and TAIL, newest attack first
	freeOn    *buckets // FREE by last key
	tailOn    *buckets // TAIL by last key
	fresh     *set     // FREE and never used
	banks     *bankOrder
	mixedTail *rank // TAIL ranked like open gates
}

// shelf holds the open gates that parts of one standing have in a pool.
type shelf struct{ pedal, held *rank }

func (p *pool) allows(key int16) bool {
	return !p.limited || int16(p.keys.Low) <= key && key <= int16(p.keys.High)
}

// expire frees the tails of a pool that have reached the free level.
func (f *fleet) expire(p *pool) {
	if p.tail.size == 0 {
		return
	}
	for _, end := range p.tails {
		for i := f.inTail[end].next; i != end && f.voices[i].freeAt <= f.now; i = f.inTail[end].next {
			f.leaveTail(i)
			f.enterFree(i)
		}
	}
}

// enterIdle puts a voice whose gate is low into the orders that FREE and TAIL
// share.
func (f *fleet) enterIdle(p *pool, i int32) {
	if end := p.idle; end != none {
		at := f.inIdle[end].prev
		for at != end && f.idleBefore(i, at) {
			at = f.inIdle[at].prev
		}
		f.inIdle.insertAfter(i, at)
	}
	if p.lastOn != nil && f.voices[i].offAt != neverUsed {
		end := p.lastOn[keyBucket(f.voices[i].key)]
		at := end
		for next := f.inLast[at].next; next != end && f.newerThan(next, i); next = f.inLast[at].next {
			at = next
		}
		f.inLast.insertAfter(i, at)
	}
}

func (f *fleet) leaveIdle(p *pool, i int32) {
	if p.idle != none {
		f.inIdle.remove(i)
	}
	if p.lastOn != nil && f.voices[i].offAt != neverUsed {
		f.inLast.remove(i)
	}
}

// idleBefore orders voices by gate-off, then number.
func (f *fleet) idleBefore(a, b int32) bool {
	x, y := f.voices[a].offAt, f.voices[b].offAt
	return x < y || x == y && a < b
}

// newerThan orders voices by attack, the newest first, then by number.
func (f *fleet) newerThan(a, b int32) bool {
	x, y := f.voices[a].attackAt, f.voices[b].attackAt
	return x > y || x == y && a < b
}

// enterFree and leaveFree keep what only FREE voices are in. The idle orders
// are the caller's business: a tail that expires stays in them.
func (f *fleet) enterFree(i int32) {
	v := &f.voices[i]
	p := v.pool
	v.state = Free
	p.free.add(v.place)
	if p.freeOn != nil {
		if v.offAt == neverUsed {
			p.fresh.add(v.place)
		} else {
			p.freeOn.add(keyBucket(v.key), v.place)
		}
	}
	if p.banks != nil {
		f.changeFree(v, 1)
	}
}

func (f *fleet) leaveFree(i int32) {
	v := &f.voices[i]
	p := v.pool
	p.free.remove(v.place)
	if p.freeOn != nil {
		if v.offAt == neverUsed {
			p.fresh.remove(v.place)
		} else {
			p.freeOn.remove(keyBucket(v.key), v.place)
		}
	}
	if p.banks != nil {
		f.changeFree(v, -1)
	}
}

func (f *fleet) enterTail(i int32) {
	v := &f.voices[i]
	p := v.pool
	v.state = Tail
	p.tail.add(v.place)
	end := p.tails[v.envelope]
	at := f.inTail[end].prev
	for at != end && f.quieterTail(i, at) {
		at = f.inTail[at].prev
	}
	f.inTail.insertAfter(i, at)
	if p.tailOn != nil {
		p.tailOn.add(keyBucket(v.key), v.place)
	}
	if p.mixedTail != nil {
		f.rankIn(p.mixedTail, i)
	}
	if p.banks != nil {
		p.banks.change(v.bank, 0, 0, 1)
	}
}

func (f *fleet) leaveTail(i int32) {
	v := &f.voices[i]
	p := v.pool
	p.tail.remove(v.place)
	f.inTail.remove(i)
	if p.tailOn != nil {
		p.tailOn.remove(keyBucket(v.key), v.place)
	}
	if p.mixedTail != nil {
		f.rankOut(p.mixedTail, i)
	}
	if p.banks != nil {
		p.banks.change(v.bank, 0, 0, -1)
	}
	if v.bends {
		v.bends = false
		f.inChannel.remove(i)
	}
}

// enterHeld puts a voice that a note has taken on a shelf, in its orders.
func (f *fleet) enterHeld(i, shelf int32) {
	v := &f.voices[i]
	p := v.pool
	v.state = Held
	p.held++
	k := keyBucket(v.key)
	p.onKey[k]++
	p.sounding[k>>6] |= 1 << (k & 63)
	v.rank = p.shelves[shelf].held
	f.rankIn(v.rank, i)
	f.inChannel.push(v.channel.voiced, i)
}

func (f *fleet) leaveOpen(i int32) {
	v := &f.voices[i]
	p := v.pool
	if v.state == Pedal {
		p.pedal--
	} else {
		p.held--
	}
	k := keyBucket(v.key)
	p.onKey[k]--
	sounding := p.sounding[k>>6]
	if rest := sounding &^ (1 << (k & 63)); p.onKey[k] == 0 {
		sounding = rest
	}
	p.sounding[k>>6] = sounding
	f.rankOut(v.rank, i)
	f.inChannel.remove(i)
}

// heldToPedal passes a voice to the pedal, on the same shelf.
func (f *fleet) heldToPedal(i, shelf int32) {
	v := &f.voices[i]
	f.rankOut(v.rank, i)
	v.state = Pedal
	v.rank = v.pool.shelves[shelf].pedal
	f.rankIn(v.rank, i)
	v.pool.held--
	v.pool.pedal++
}

// nextFree returns when the first tail of a pool will be free, or never.
func (f *fleet) nextFree(p *pool) time.Duration {
	t := never
	for _, end := range p.tails {
		if i := f.inTail.first(end); i != none {
			t = min(t, f.voices[i].freeAt)
		}
	}
	return t
}
