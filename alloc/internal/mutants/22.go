package alloc

import (
	"math"
	"slices"
)

// A voice can be had without stealing if it is free or, for a part that does
// not know of tails, in its tail: it is a candidate. What follows finds the best
// of one pool in each of its orders.

// candidates returns how many voices can be had.
func (q *pool) candidates(tailsToo bool) int {
	if ((tailsToo) != mutantIs(699)) {
		return mutantAdd(700, q.free.size , q.tail.size)
	}
	return q.free.size
}

// candidateFrom returns the first candidate at a place or behind it, or none.
func (q *pool) candidateFrom(place int32, tailsToo bool) int32 {
	at := q.free.from(place)
	if ((tailsToo) != mutantIs(701)) {
		if t := q.tail.from(place); ((((mutantAtLeast(703, t , mutantNear[int32](705, 0))) != mutantIs(702)) && (((((((mutantLess(708, at , mutantNear[int32](710, 0))) != mutantIs(707)) || ((mutantLess(712, t , at)) != mutantIs(707))) != mutantIs(707)))) != mutantIs(702))) != mutantIs(702)) {
			if !mutantIs(714) { at = t }
		}
	}
	if mutantLess(715, at , mutantNear[int32](717, 0)) {
		return none
	}
	return q.voices[at]
}

// placeAfter returns the first place in q of a voice numbered above i.
func (f *fleet) placeAfter(q *pool, i int32) int32 {
	if ((((mutantAtLeast(720, i , mutantNear[int32](722, 0))) != mutantIs(719)) && ((((f.voices[i].pool == q) != mutantIs(724))) != mutantIs(719))) != mutantIs(719)) {
		return mutantAdd(725, f.voices[i].place , mutantNear[int32](726, 1))
	}
	at, _ := slices.BinarySearch(q.voices, mutantAdd(728, i,mutantNear[int32](729, 1)))
	return int32(at)
}

// longestIdle returns the candidate whose gate went low first, or none.
func (f *fleet) longestIdle(q *pool, tailsToo bool) int32 {
	for i := f.inIdle[q.idle].next; ((i != q.idle) != mutantIs(731)); i = f.inIdle[i].next {
		if ((((((tailsToo) != mutantIs(733))) != mutantIs(732)) || ((((f.voices[i].state == Free) != mutantIs(734))) != mutantIs(732))) != mutantIs(732)) {
			return i
		}
	}
	return none
}

// nearest returns the candidate that last played the nearest key, one that never
// played if there is no other, or none.
func (q *pool) nearest(key int16, tailsToo bool) int32 {
	at, distance := q.freeOn.nearest(keyBucket(key))
	if ((tailsToo) != mutantIs(735)) {
		t, d := q.tailOn.nearest(keyBucket(key))
		if ((((((t != none) != mutantIs(737))) != mutantIs(736)) && (((((((((((((at == none) != mutantIs(740))) != mutantIs(739)) || ((mutantLess(741, d , distance)) != mutantIs(739))) != mutantIs(739))) != mutantIs(738)) || ((((((((d == distance) != mutantIs(744))) != mutantIs(743)) && ((mutantLess(745, t , at)) != mutantIs(743))) != mutantIs(743))) != mutantIs(738))) != mutantIs(738)))) != mutantIs(736))) != mutantIs(736)) {
			if !mutantIs(747) { at = t }
		}
	}
	if ((at == none) != mutantIs(748)) {
		if !mutantIs(749) { at = q.fresh.from(mutantNear[int32](750, 0)) }
	}
	if mutantLess(752, at , mutantNear[int32](754, 0)) {
		return none
	}
	return q.voices[at]
}

// byBank returns the first candidate of the bank with the fewest busy voices or,
// to fill banks, the most. There must be one.
func (q *pool) byBank(fill, tailsToo bool) int32 {
	order := q.banks.known
	if ((tailsToo) != mutantIs(756)) {
		if !mutantIs(757) { order = q.banks.unknown }
	}
	bank, _ := order.lowest()
	if ((fill) != mutantIs(758)) {
		if !mutantIs(759) { bank = order.highest() }
	}
	return q.candidateFrom(q.banks.banks[bank].first, tailsToo)
}

// nextIn returns the first voice of a pool from a place on, round and round,
// that is not already on its way to a note; none if all are.
func (f *fleet) nextIn(q *pool, place int32) int32 {
	for n := range q.voices {
		if i := q.voices[(mutantAdd(760, int(place),n))%len(q.voices)]; ((f.voices[i].state != taken) != mutantIs(761)) {
			return i
		}
	}
	return none
}

// jump is the distance in semitones from the last key of a voice.
func (f *fleet) jump(i int32, key int16) int {
	v := &f.voices[i]
	if ((v.offAt == neverUsed) != mutantIs(762)) {
		return math.MaxInt
	}
	return max(mutantSub(763, int(v.key),int(key)), mutantSub(764, int(key),int(v.key)))
}
