package alloc

import "math/bits"

// quiet finds the voice with the least level × velocity among the open gates
// of one class that share an envelope.
//
// Levels move, but in step: the level of an open gate is a function of the
// time since its attack reached full (or will), falling towards the sustain
// level after that and rising before. So of the voices of one velocity, in
// order of that time, the quietest is the first that has reached full, or the
// last that has not; voices that no longer move at all are equal, and the
// lowest number counts. That leaves two or three candidates a velocity,
// whatever the number of voices, and velocities that cannot win are not asked.
type quiet struct {
	used    [2]uint64 // velocities that have a voice
	moving  [128]list // by fullAt, then number
	settled [128]set  // places in the pool
}

func newQuiet(voices int) *quiet {
	q := &quiet{}
	for i := range q.settled {
		q.settled[i] = newSet(voices)
	}
	q.clear()
	return q
}

func (q *quiet) clear() {
	q.used = [2]uint64{}
	for i := range q.moving {
		q.moving[i] = empty
		q.settled[i].clear()
	}
}

func (e *Engine) addQuiet(q *quiet, i int32) {
	v := &e.voices[i]
	l := &q.moving[v.velocity]
	at := l.tail
	for at != none && e.laterFull(at, i) {
		at = e.inQuiet[at].prev
	}
	l.insertAfter(e.inQuiet, i, at)
	q.used[v.velocity>>6] |= 1 << (v.velocity & 63)
}

func (e *Engine) laterFull(a, b int32) bool {
	x, y := e.full(&e.voices[a]), e.full(&e.voices[b])
	return x > y || x == y && a > b
}

func (e *Engine) removeQuiet(q *quiet, i int32) {
	v := &e.voices[i]
	n := v.velocity
	if q.settled[n].has(v.place) {
		q.settled[n].remove(v.place)
	} else {
		q.moving[n].remove(e.inQuiet, i)
	}
	if q.settled[n].size == 0 && q.moving[n].head == none {
		q.used[n>>6] &^= 1 << (n & 63)
	}
}

// product is what the quietest rule compares.
func (e *Engine) product(i int32) float64 {
	v := &e.voices[i]
	return e.level(v) * float64(v.velocity)
}

// quietest returns the quietest voice of q, or none.
func (e *Engine) quietest(q *quiet, p *pool, env *Envelope) int32 {
	best, least := none, 0.0
	settle := env.settleTime()
	consider := func(i int32) {
		if x := e.product(i); best == none || x < least || x == least && i < best {
			best, least = i, x
		}
	}
	for w, word := range q.used {
		for ; word != 0; word &= word - 1 {
			n := w<<6 + bits.TrailingZeros64(word)
			e.settle(q, n, settle)
			if s := &q.settled[n]; s.size > 0 {
				consider(p.voices[s.from(0)])
			}
			last := q.moving[n].tail
			if last == none {
				continue
			}
			if e.full(&e.voices[last]) > float64(e.now) {
				consider(e.firstOfEqual(last))
			}
			if best == none || env.Sustain*float64(n) <= least {
				consider(q.moving[n].head)
			}
		}
	}
	return best
}

// firstOfEqual returns the lowest-numbered voice with the attack of i.
func (e *Engine) firstOfEqual(i int32) int32 {
	for {
		before := e.inQuiet[i].prev
		if before == none || e.full(&e.voices[before]) != e.full(&e.voices[i]) {
			return i
		}
		i = before
	}
}

// settle moves the voices of velocity n that no longer change.
func (e *Engine) settle(q *quiet, n int, after float64) {
	l := &q.moving[n]
	for l.head != none && e.full(&e.voices[l.head])+after <= float64(e.now) {
		i := l.head
		l.remove(e.inQuiet, i)
		q.settled[n].add(e.voices[i].place)
	}
}

// quietestTail returns the tail with the least level × velocity; it is asked
// for only where tails compete with open gates, and looks at each.
func (e *Engine) quietestTail(p *pool) int32 {
	best, least := none, 0.0
	for at := p.tail.from(0); at >= 0; at = p.tail.from(at + 1) {
		i := p.voices[at]
		if x := e.product(i); best == none || x < least {
			best, least = i, x
		}
	}
	return best
}
