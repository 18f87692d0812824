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
	if tailsToo {
		return q.free.size + q.tail.size
	}
	return q.free.size
}

// candidateFrom returns the first candidate at a place or behind it, or none.
func (q *pool) candidateFrom(place int32, tailsToo bool) int32 {
	at := q.free.from(place)
	if tailsToo {
		if t := q.tail.from(place); t >= 0 && (at < 0 || t < at) {
			at = t
		}
	}
	if at < 0 {
		return none
	}
	return q.voices[at]
}

// placeAfter returns the first place in q of a voice numbered above i.
func (f *fleet) placeAfter(q *pool, i int32) int32 {
	if i >= 0 && f.voices[i].pool == q {
		return f.voices[i].place + 1
	}
	at, _ := slices.BinarySearch(q.voices, i+1)
	return int32(at)
}

// longestIdle returns the candidate whose gate went low first, or none.
func (f *fleet) longestIdle(q *pool, tailsToo bool) int32 {
	for i := f.inIdle[q.idle].next; i != q.idle; i = f.inIdle[i].next {
		if tailsToo || f.voices[i].state == Free {
			return i
		}
	}
	return none
}

// nearest returns the candidate that last played the nearest key, one that never
// played if there is no other, or none.
func (q *pool) nearest(key int16, tailsToo bool) int32 {
	at, distance := q.freeOn.nearest(keyBucket(key))
	if tailsToo {
		t, d := q.tailOn.nearest(keyBucket(key))
		if t != none && (at == none || d < distance || d == distance && t < at) {
			at = t
		}
	}
	if at == none {
		at = q.fresh.from(0)
	}
	if at < 0 {
		return none
	}
	return q.voices[at]
}

// byBank returns the first candidate of the bank with the fewest busy voices or,
// to fill banks, the most. There must be one.
func (q *pool) byBank(fill, tailsToo bool) int32 {
	order := q.banks.known
	if tailsToo {
		order = q.banks.unknown
	}
	bank, _ := order.lowest()
	if fill {
		bank = order.highest()
	}
	return q.candidateFrom(q.banks.banks[bank].first, tailsToo)
}

// nextIn returns the first voice of a pool from a place on, round and round,
// that is not already on its way to a note; none if all are.
func (f *fleet) nextIn(q *pool, place int32) int32 {
	for n := range q.voices {
		if i := q.voices[(int(place)+n)%len(q.voices)]; f.voices[i].state != taken {
			return i
		}
	}
	return none
}

// jump is the distance in semitones from the last key of a voice.
func (f *fleet) jump(i int32, key int16) int {
	v := &f.voices[i]
	if v.offAt == neverUsed {
		return math.MaxInt
	}
	return max(int(v.key)-int(key), int(key)-int(v.key))
}
