package alloc

// rank keeps the voices of one class (HELD or PEDAL of some parts, or TAIL) in
// every order that a stealing rule in use needs.
type rank struct {
	pool    *pool
	needs   needs
	size    int
	attack  int32    // list by attack, then number
	walked  [3]walk  // along it, by keyTest.walk
	keys    *buckets // by sounding key
	softs   *buckets // by velocity
	quiet   *quiet
	latest  *foreseen
	soonest *foreseen
	worth   *foreseen
}

// walk remembers that the voices of a rank fail a test from the oldest to one of
// them; that is the end of the list where none is known to. Where outer notes pile
// up, each newcomer would else walk past all of them.
type walk struct {
	test keyTest
	to   int32
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
	needWorth
)

func (n needs) has(some needs) bool { return n&some != 0 }

func (f *fleet) newRank(n needs, p *pool) *rank {
	r := &rank{pool: p, needs: n, attack: f.inAttack.grow()}
	for n := range r.walked {
		r.walked[n].to = r.attack
	}
	if n.has(needKeys) {
		r.keys = newBuckets(keyNumbers, len(p.voices))
	}
	if n.has(needVelocity) {
		r.softs = newBuckets(128, len(p.voices))
	}
	if n.has(needLevel) {
		r.quiet = f.newQuiet(len(p.voices))
	}
	if n.has(needLatest) {
		r.latest = newForeseen(true, len(f.voices))
	}
	if n.has(needSoonest) {
		r.soonest = newForeseen(false, len(f.voices))
	}
	if n.has(needWorth) {
		r.worth = newForeseen(false, len(f.voices))
	}
	return r
}

// rankIn puts voice i into every order of r.
func (f *fleet) rankIn(r *rank, i int32) {
	v := &f.voices[i]
	r.size++
	if r.needs.has(needAttack) {
		at := f.inAttack[r.attack].prev
		for at != r.attack && f.olderThan(i, at) {
			at = f.inAttack[at].prev
		}
		f.inAttack.insertAfter(i, at)
		for n := range r.walked {
			if w := &r.walked[n]; w.to != r.attack && f.olderThan(i, w.to) {
				w.to = r.attack
			}
		}
	}
	if !r.needs.has(^needAttack) {
		return
	}
	if r.keys != nil {
		r.keys.add(keyBucket(v.key), v.place)
	}
	if r.softs != nil {
		r.softs.add(int(v.velocity), v.place)
	}
	if r.quiet != nil {
		f.addQuiet(r.quiet, i)
	}
	if r.latest != nil {
		r.latest.add(i, int64(f.future.Ends[v.note]))
	}
	if r.soonest != nil {
		r.soonest.add(i, int64(f.future.Ends[v.note]))
	}
	if r.worth != nil {
		r.worth.add(i, f.future.Worth[v.note])
	}
}

// rankOut takes voice i out again; what it was ranked by must not have changed.
func (f *fleet) rankOut(r *rank, i int32) {
	v := &f.voices[i]
	r.size--
	if r.needs.has(needAttack) {
		for n := range r.walked {
			if w := &r.walked[n]; w.to == i {
				w.to = f.inAttack[i].prev
			}
		}
		f.inAttack.remove(i)
	}
	if !r.needs.has(^needAttack) {
		return
	}
	if r.keys != nil {
		r.keys.remove(keyBucket(v.key), v.place)
	}
	if r.softs != nil {
		r.softs.remove(int(v.velocity), v.place)
	}
	if r.quiet != nil {
		f.removeQuiet(r.quiet, i)
	}
	if r.latest != nil {
		r.latest.remove(i)
	}
	if r.soonest != nil {
		r.soonest.remove(i)
	}
	if r.worth != nil {
		r.worth.remove(i)
	}
}

// newest returns the voice of the latest attack, the lowest-numbered of equal
// ones, or none.
func (f *fleet) newest(r *rank) int32 {
	i := f.inAttack[r.attack].prev
	if i == r.attack {
		return none
	}
	for {
		before := f.inAttack[i].prev
		if before == r.attack || f.voices[before].attackAt != f.voices[i].attackAt {
			return i
		}
		i = before
	}
}

// foreseen is an indexed binary heap of voices by something known of their
// notes' future, an end or a worth. At the top stands the voice that a rule
// would give up: that of the least, or the most; of equal ones the
// lowest-numbered.
type foreseen struct {
	most  bool
	heap  []int32
	value []int64 // by voice
	place []int32 // by voice: where it stands in heap
}

func newForeseen(most bool, voices int) *foreseen {
	return &foreseen{most: most, value: make([]int64, voices), place: make([]int32, voices)}
}

func (h *foreseen) before(a, b int32) bool {
	if h.value[a] == h.value[b] {
		return a < b
	}
	return h.most == (h.value[a] > h.value[b])
}

func (h *foreseen) top() int32 {
	if len(h.heap) == 0 {
		return none
	}
	return h.heap[0]
}

func (h *foreseen) add(v int32, value int64) {
	h.value[v] = value
	h.heap = append(h.heap, v)
	h.up(len(h.heap) - 1)
}

func (h *foreseen) remove(v int32) {
	i := int(h.place[v])
	last := len(h.heap) - 1
	moved := h.heap[last]
	h.heap = h.heap[:last]
	if moved == v {
		return
	}
	h.put(i, moved)
	h.up(i)
	h.down(int(h.place[moved]))
}

func (h *foreseen) put(i int, v int32) {
	h.heap[i] = v
	h.place[v] = int32(i)
}

func (h *foreseen) up(i int) {
	v := h.heap[i]
	for i > 0 && h.before(v, h.heap[(i-1)/2]) {
		h.put(i, h.heap[(i-1)/2])
		i = (i - 1) / 2
	}
	h.put(i, v)
}

func (h *foreseen) down(i int) {
	v := h.heap[i]
	for {
		child := 2*i + 1
		if child >= len(h.heap) {
			break
		}
		if child+1 < len(h.heap) && h.before(h.heap[child+1], h.heap[child]) {
			child++
		}
		if !h.before(h.heap[child], v) {
			break
		}
		h.put(i, h.heap[child])
		i = child
	}
	h.put(i, v)
}
