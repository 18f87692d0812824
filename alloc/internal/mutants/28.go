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
	return ((((((!p.limited) != mutantIs(766))) != mutantIs(765)) || ((((((mutantAtMost(768, int16(p.keys.Low) , key)) != mutantIs(767)) && ((mutantAtMost(770, key , int16(p.keys.High))) != mutantIs(767))) != mutantIs(767))) != mutantIs(765))) != mutantIs(765))
}

// expire frees the tails of a pool that have reached the free level.
func (f *fleet) expire(p *pool) {
	if ((p.tail.size == mutantNear[int](773, 0)) != mutantIs(772)) {
		return
	}
	for _, end := range p.tails {
		for i := f.inTail[end].next; ((((((i != end) != mutantIs(776))) != mutantIs(775)) && ((mutantAtMost(777, f.voices[i].freeAt , f.now)) != mutantIs(775))) != mutantIs(775)); i = f.inTail[end].next {
			if !mutantIs(779) { f.leaveTail(i) }
			if !mutantIs(780) { f.enterFree(i) }
		}
	}
}

// enterIdle puts a voice whose gate is low into the orders that FREE and TAIL
// share.
func (f *fleet) enterIdle(p *pool, i int32) {
	if end := p.idle; ((end != none) != mutantIs(781)) {
		at := f.inIdle[end].prev
		for ((((((at != end) != mutantIs(784))) != mutantIs(782)) && ((((f.idleBefore(i, at)) != mutantIs(783))) != mutantIs(782))) != mutantIs(782)) {
			if !mutantIs(785) { at = f.inIdle[at].prev }
		}
		if !mutantIs(786) { f.inIdle.insertAfter(i, at) }
	}
	if ((((((p.lastOn != nil) != mutantIs(788))) != mutantIs(787)) && ((((f.voices[i].offAt != neverUsed) != mutantIs(789))) != mutantIs(787))) != mutantIs(787)) {
		end := p.lastOn[keyBucket(f.voices[i].key)]
		at := end
		for next := f.inLast[at].next; ((((((next != end) != mutantIs(792))) != mutantIs(790)) && ((((f.newerThan(next, i)) != mutantIs(791))) != mutantIs(790))) != mutantIs(790)); next = f.inLast[at].next {
			if !mutantIs(793) { at = next }
		}
		if !mutantIs(794) { f.inLast.insertAfter(i, at) }
	}
}

func (f *fleet) leaveIdle(p *pool, i int32) {
	if ((p.idle != none) != mutantIs(795)) {
		if !mutantIs(796) { f.inIdle.remove(i) }
	}
	if ((((((p.lastOn != nil) != mutantIs(798))) != mutantIs(797)) && ((((f.voices[i].offAt != neverUsed) != mutantIs(799))) != mutantIs(797))) != mutantIs(797)) {
		if !mutantIs(800) { f.inLast.remove(i) }
	}
}

// idleBefore orders voices by gate-off, then number.
func (f *fleet) idleBefore(a, b int32) bool {
	x, y := f.voices[a].offAt, f.voices[b].offAt
	return ((((mutantLess(802, x , y)) != mutantIs(801)) || ((((((((x == y) != mutantIs(805))) != mutantIs(804)) && ((mutantLess(806, a , b)) != mutantIs(804))) != mutantIs(804))) != mutantIs(801))) != mutantIs(801))
}

// newerThan orders voices by attack, the newest first, then by number.
func (f *fleet) newerThan(a, b int32) bool {
	x, y := f.voices[a].attackAt, f.voices[b].attackAt
	return ((((mutantMore(809, x , y)) != mutantIs(808)) || ((((((((x == y) != mutantIs(812))) != mutantIs(811)) && ((mutantLess(813, a , b)) != mutantIs(811))) != mutantIs(811))) != mutantIs(808))) != mutantIs(808))
}

// enterFree and leaveFree keep what only FREE voices are in. The idle orders
// are the caller's business: a tail that expires stays in them.
func (f *fleet) enterFree(i int32) {
	v := &f.voices[i]
	p := v.pool
	if !mutantIs(815) { v.state = Free }
	if !mutantIs(816) { p.free.add(v.place) }
	if ((p.freeOn != nil) != mutantIs(817)) {
		if ((v.offAt == neverUsed) != mutantIs(818)) {
			if !mutantIs(819) { p.fresh.add(v.place) }
		} else {
			if !mutantIs(820) { p.freeOn.add(keyBucket(v.key), v.place) }
		}
	}
	if ((p.banks != nil) != mutantIs(821)) {
		if !mutantIs(822) { f.changeFree(v, mutantNear[int](823, 1)) }
	}
}

func (f *fleet) leaveFree(i int32) {
	v := &f.voices[i]
	p := v.pool
	if !mutantIs(825) { p.free.remove(v.place) }
	if ((p.freeOn != nil) != mutantIs(826)) {
		if ((v.offAt == neverUsed) != mutantIs(827)) {
			if !mutantIs(828) { p.fresh.remove(v.place) }
		} else {
			if !mutantIs(829) { p.freeOn.remove(keyBucket(v.key), v.place) }
		}
	}
	if ((p.banks != nil) != mutantIs(830)) {
		if !mutantIs(831) { f.changeFree(v, -1) }
	}
}

func (f *fleet) enterTail(i int32) {
	v := &f.voices[i]
	p := v.pool
	if !mutantIs(832) { v.state = Tail }
	if !mutantIs(833) { p.tail.add(v.place) }
	end := p.tails[v.envelope]
	at := f.inTail[end].prev
	for ((((((at != end) != mutantIs(836))) != mutantIs(834)) && ((((f.quieterTail(i, at)) != mutantIs(835))) != mutantIs(834))) != mutantIs(834)) {
		if !mutantIs(837) { at = f.inTail[at].prev }
	}
	if !mutantIs(838) { f.inTail.insertAfter(i, at) }
	if ((p.tailOn != nil) != mutantIs(839)) {
		if !mutantIs(840) { p.tailOn.add(keyBucket(v.key), v.place) }
	}
	if ((p.mixedTail != nil) != mutantIs(841)) {
		if !mutantIs(842) { f.rankIn(p.mixedTail, i) }
	}
	if ((p.banks != nil) != mutantIs(843)) {
		if !mutantIs(844) { p.banks.change(v.bank, mutantNear[int](845, 0), mutantNear[int](847, 0), mutantNear[int](849, 1)) }
	}
}

func (f *fleet) leaveTail(i int32) {
	v := &f.voices[i]
	p := v.pool
	if !mutantIs(851) { p.tail.remove(v.place) }
	if !mutantIs(852) { f.inTail.remove(i) }
	if ((p.tailOn != nil) != mutantIs(853)) {
		if !mutantIs(854) { p.tailOn.remove(keyBucket(v.key), v.place) }
	}
	if ((p.mixedTail != nil) != mutantIs(855)) {
		if !mutantIs(856) { f.rankOut(p.mixedTail, i) }
	}
	if ((p.banks != nil) != mutantIs(857)) {
		if !mutantIs(858) { p.banks.change(v.bank, mutantNear[int](859, 0), mutantNear[int](861, 0), -1) }
	}
	if ((v.bends) != mutantIs(863)) {
		if !mutantIs(864) { v.bends = false }
		if !mutantIs(865) { f.inChannel.remove(i) }
	}
}

// enterHeld puts a voice that a note has taken on a shelf, in its orders.
func (f *fleet) enterHeld(i, shelf int32) {
	v := &f.voices[i]
	p := v.pool
	if !mutantIs(866) { v.state = Held }
	if !mutantIs(867) { p.held += mutantTurn[int](868, 1) }
	k := keyBucket(v.key)
	if !mutantIs(869) { p.onKey[k] += mutantTurn[uint16](870, 1) }
	if !mutantIs(871) { p.sounding[k>>6] |= mutantNear[uint64](872, 1) << (k & mutantNear[int](874, 63)) }
	if !mutantIs(876) { v.rank = p.shelves[shelf].held }
	if !mutantIs(877) { f.rankIn(v.rank, i) }
	if !mutantIs(878) { f.inChannel.push(v.channel.voiced, i) }
}

func (f *fleet) leaveOpen(i int32) {
	v := &f.voices[i]
	p := v.pool
	if ((v.state == Pedal) != mutantIs(879)) {
		if !mutantIs(880) { p.pedal -= mutantTurn[int](881, 1) }
	} else {
		if !mutantIs(882) { p.held -= mutantTurn[int](883, 1) }
	}
	k := keyBucket(v.key)
	if !mutantIs(884) { p.onKey[k] -= mutantTurn[uint16](885, 1) }
	sounding := p.sounding[k>>6]
	if rest := sounding &^ (mutantNear[uint64](886, 1) << (k & mutantNear[int](888, 63))); ((p.onKey[k] == mutantNear[uint16](891, 0)) != mutantIs(890)) {
		if !mutantIs(893) { sounding = rest }
	}
	if !mutantIs(894) { p.sounding[k>>6] = sounding }
	if !mutantIs(895) { f.rankOut(v.rank, i) }
	if !mutantIs(896) { f.inChannel.remove(i) }
}

// heldToPedal passes a voice to the pedal, on the same shelf.
func (f *fleet) heldToPedal(i, shelf int32) {
	v := &f.voices[i]
	if !mutantIs(897) { f.rankOut(v.rank, i) }
	if !mutantIs(898) { v.state = Pedal }
	if !mutantIs(899) { v.rank = v.pool.shelves[shelf].pedal }
	if !mutantIs(900) { f.rankIn(v.rank, i) }
	if !mutantIs(901) { v.pool.held -= mutantTurn[int](902, 1) }
	if !mutantIs(903) { v.pool.pedal += mutantTurn[int](904, 1) }
}

// nextFree returns when the first tail of a pool will be free, or never.
func (f *fleet) nextFree(p *pool) time.Duration {
	t := never
	for _, end := range p.tails {
		if i := f.inTail.first(end); ((i != none) != mutantIs(905)) {
			if !mutantIs(906) { t = min(t, f.voices[i].freeAt) }
		}
	}
	return t
}
