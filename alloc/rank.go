package alloc

// rank keeps the voices of one class (HELD or PEDAL of some parts, or TAIL) in
// every order that a stealing rule in use needs.
type rank struct {
	needs   needs
	size    int
	attack  list     // by attack, then number
	keys    *buckets // by sounding key
	softs   *buckets // by velocity
	quiets  []*quiet // by envelope
	latest  *ends
	soonest *ends
}

// needs is a set of the orders that rules look at.
type needs uint8

const (
	needAttack needs = 1 << iota
	needKeys
	needVelocity
	needLevel
	needLatest
	needSoonest
)

var stealNeeds = [...]needs{
	StealProtectOuter: needAttack, StealOldest: needAttack, StealNewest: needAttack,
	StealLowest: needKeys, StealHighest: needKeys, StealQuietest: needLevel,
	StealSoftest: needVelocity, StealNone: 0, StealHardNone: 0,
	StealFewestCuts: needLatest, StealLeastLost: needSoonest,
}

func newRank(n needs, p *pool, envelopes, rig int) *rank {
	r := &rank{needs: n, attack: empty}
	if n&needKeys != 0 {
		r.keys = newBuckets(keyNumbers, len(p.voices))
	}
	if n&needVelocity != 0 {
		r.softs = newBuckets(128, len(p.voices))
	}
	if n&needLevel != 0 {
		r.quiets = make([]*quiet, envelopes)
		for i := range r.quiets {
			r.quiets[i] = newQuiet(len(p.voices))
		}
	}
	if n&needLatest != 0 {
		r.latest = newEnds(false, rig)
	}
	if n&needSoonest != 0 {
		r.soonest = newEnds(true, rig)
	}
	return r
}

func (r *rank) clear() {
	r.size, r.attack = 0, empty
	if r.keys != nil {
		r.keys.clear()
	}
	if r.softs != nil {
		r.softs.clear()
	}
	for _, q := range r.quiets {
		q.clear()
	}
	if r.latest != nil {
		r.latest.clear()
	}
	if r.soonest != nil {
		r.soonest.clear()
	}
}

// rankIn puts voice i into every order of r.
func (e *Engine) rankIn(r *rank, i int32) {
	v := &e.voices[i]
	r.size++
	if r.needs&needAttack != 0 {
		at := r.attack.tail
		for at != none && e.olderThan(i, at) {
			at = e.inAttack[at].prev
		}
		r.attack.insertAfter(e.inAttack, i, at)
	}
	if r.needs&^needAttack == 0 {
		return
	}
	if r.keys != nil {
		r.keys.add(keyBucket(v.key), v.place)
	}
	if r.softs != nil {
		r.softs.add(int(v.velocity), v.place)
	}
	if r.quiets != nil {
		e.addQuiet(r.quiets[v.envelope], i)
	}
	if r.latest != nil {
		r.latest.add(i, e.ends[v.note])
	}
	if r.soonest != nil {
		r.soonest.add(i, e.ends[v.note])
	}
}

// rankOut takes voice i out again; what it was ranked by must not have changed.
func (e *Engine) rankOut(r *rank, i int32) {
	v := &e.voices[i]
	r.size--
	if r.needs&needAttack != 0 {
		r.attack.remove(e.inAttack, i)
	}
	if r.needs&^needAttack == 0 {
		return
	}
	if r.keys != nil {
		r.keys.remove(keyBucket(v.key), v.place)
	}
	if r.softs != nil {
		r.softs.remove(int(v.velocity), v.place)
	}
	if r.quiets != nil {
		e.removeQuiet(r.quiets[v.envelope], i)
	}
	if r.latest != nil {
		r.latest.remove(i)
	}
	if r.soonest != nil {
		r.soonest.remove(i)
	}
}

// newest returns the voice of the latest attack, the lowest-numbered of equal
// ones, or none.
func (e *Engine) newest(r *rank) int32 {
	i := r.attack.tail
	for i != none {
		before := e.inAttack[i].prev
		if before == none || e.voices[before].attackAt != e.voices[i].attackAt {
			break
		}
		i = before
	}
	return i
}

// oldestInner returns the oldest voice on neither of two keys, or none.
func (e *Engine) oldestInner(r *rank, low, high int16) int32 {
	for i := r.attack.head; i != none; i = e.inAttack[i].next {
		if k := e.voices[i].key; k != low && k != high {
			return i
		}
	}
	return none
}

// oldestOn returns the oldest voice on a key, or none.
func (e *Engine) oldestOn(r *rank, key int16) int32 {
	for i := r.attack.head; i != none; i = e.inAttack[i].next {
		if e.voices[i].key == key {
			return i
		}
	}
	return none
}
