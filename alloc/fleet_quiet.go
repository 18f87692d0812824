package alloc

import (
	"math"
	"math/bits"
)

// quiet finds the voice with the least level × velocity among the open gates
// of one class.
//
// Levels move, but in step: the level of an open gate is a function of the
// time since its attack reached full. A voice is first among the rising, as
// long as its attack may last; there are few of those unless attacks are long,
// and most can be passed over by a bound on their level. Then, if its sustain
// is below full, it falls: of the falling voices of one velocity and envelope
// the one that reached full first is the quietest. At last it is settled, and
// settled voices of one velocity and envelope are equal: the lowest number
// counts. Velocities that cannot win are not asked.
type quiet struct {
	rising int32   // list, in the order in which they came
	groups []group // by envelope
}

// group is the voices of one envelope that are past their attack.
type group struct {
	settled *buckets   // places in the pool, by velocity
	used    [2]uint64  // velocities of falling voices
	falling [128]int32 // lists by fullAt, then number
	after   float64    // how long a voice falls, nanoseconds
	steps   float64    // of the rise table in a nanosecond
	sustain float64
}

// loudness is where a voice stands in a quiet.
type loudness uint8

const (
	isRising loudness = iota
	isFalling
	isSettled
)

func (f *fleet) newQuiet(voices int) *quiet {
	q := &quiet{rising: f.inQuiet.grow(), groups: make([]group, len(f.envelopes))}
	for n := range q.groups {
		g := &q.groups[n]
		env := &f.envelopes[n]
		g.after, g.sustain = env.settleTime(), env.Sustain
		g.steps = riseSteps / float64(max(1, env.Attack))
		g.settled = newBuckets(128, voices)
		for i := range g.falling {
			g.falling[i] = f.inQuiet.grow()
		}
	}
	return q
}

// risen tells whether a voice's attack is over for certain: it has had its time.
func (f *fleet) risen(v *voice) bool { return f.now-v.attackAt >= f.envelopes[v.envelope].Attack }

func (f *fleet) addQuiet(q *quiet, i int32) {
	v := &f.voices[i]
	if f.risen(v) {
		f.addRisen(q, i)
		return
	}
	v.loudness = isRising
	f.inQuiet.push(q.rising, i)
}

// addRisen puts a voice among the falling, or the settled where nothing falls.
func (f *fleet) addRisen(q *quiet, i int32) {
	v := &f.voices[i]
	g := &q.groups[v.envelope]
	n := v.velocity
	if g.after == 0 {
		v.loudness = isSettled
		g.settled.add(g.bucket(v), v.place)
		return
	}
	v.loudness = isFalling
	g.used[n>>6] |= 1 << (n & 63)
	end := g.falling[n]
	at := f.inQuiet[end].prev
	for at != end && f.laterFull(at, i) {
		at = f.inQuiet[at].prev
	}
	f.inQuiet.insertAfter(i, at)
}

// bucket is where a settled voice lies. Silence has no velocity.
func (g *group) bucket(v *voice) int {
	if g.sustain == 0 {
		return 0
	}
	return int(v.velocity)
}

func (f *fleet) laterFull(a, b int32) bool {
	x, y := f.full(&f.voices[a]), f.full(&f.voices[b])
	return x > y || x == y && a > b
}

func (f *fleet) removeQuiet(q *quiet, i int32) {
	v := &f.voices[i]
	g := &q.groups[v.envelope]
	n := v.velocity
	switch v.loudness {
	case isSettled:
		g.settled.remove(g.bucket(v), v.place)
	case isRising:
		f.inQuiet.remove(i)
	case isFalling:
		f.stopFalling(g, n, i)
	}
}

func (f *fleet) stopFalling(g *group, n uint8, i int32) {
	f.inQuiet.remove(i)
	if f.inQuiet.empty(g.falling[n]) {
		g.used[n>>6] &^= 1 << (n & 63)
	}
}

// product is what the quietest rule compares of a voice that sounds.
func (f *fleet) product(i int32) float64 {
	v := &f.voices[i]
	if v.state == Tail {
		return fromDB(f.tailDB(v)) * float64(v.velocity)
	}
	return f.openLevel(v) * float64(v.velocity)
}

// least is the best of the candidates seen so far.
type least struct {
	voice   int32
	product float64
}

func (f *fleet) consider(l least, i int32) least {
	if x := f.product(i); l.voice == none || x < l.product || x == l.product && i < l.voice {
		return least{i, x}
	}
	return l
}

// quietest returns the quietest voice of q, or none.
func (f *fleet) quietest(q *quiet, p *pool) int32 {
	f.letRise(q)
	best := least{voice: none}
	for n := range q.groups {
		best = f.quietestRisen(&q.groups[n], p, best)
	}
	for i := f.inQuiet[q.rising].next; i != q.rising; i = f.inQuiet[i].next {
		if best.voice == none || f.leastProduct(q, i) <= best.product {
			best = f.consider(best, i)
		}
	}
	return best.voice
}

// letRise moves the voices on whose attack is over.
func (f *fleet) letRise(q *quiet) {
	for i := f.inQuiet[q.rising].next; i != q.rising && f.risen(&f.voices[i]); i = f.inQuiet[q.rising].next {
		f.inQuiet.remove(i)
		f.addRisen(q, i)
	}
}

func (f *fleet) quietestRisen(g *group, p *pool, best least) least {
	for w, word := range g.used {
		for ; word != 0; word &= word - 1 {
			n := w<<6 + bits.TrailingZeros64(word)
			if best.voice != none && g.sustain*float64(n) > best.product {
				break
			}
			f.settle(g, n)
			if i := f.inQuiet.first(g.falling[n]); i != none {
				best = f.consider(best, i)
			}
		}
	}
	at, n := g.settled.lowest()
	if at == none {
		return best
	}
	i, x := p.voices[at], g.sustain*float64(n)
	if best.voice == none || x < best.product || x == best.product && i < best.voice {
		return least{i, x}
	}
	return best
}

// settle moves the voices of velocity n on that no longer fall.
func (f *fleet) settle(g *group, n int) {
	end := g.falling[n]
	for i := f.inQuiet[end].next; i != end; i = f.inQuiet[end].next {
		v := &f.voices[i]
		if f.full(v)+g.after > float64(f.now) {
			return
		}
		f.stopFalling(g, uint8(n), i)
		v.loudness = isSettled
		g.settled.add(g.bucket(v), v.place)
	}
}

// rise is the level of an attack from silence at n/riseSteps of its time.
var rise = func() (level [riseSteps + 1]float64) {
	for n := range level {
		level[n] = aim - aim*math.Exp(-attackTaus*float64(n)/riseSteps)
	}
	return level
}()

const riseSteps = 256

// leastProduct returns what the product of a rising voice is not below: that
// of an attack from silence, or of the sustain level if that is less.
func (f *fleet) leastProduct(q *quiet, i int32) float64 {
	v := &f.voices[i]
	g := &q.groups[v.envelope]
	n := min(riseSteps, int(float64(f.now-v.attackAt)*g.steps*(1-slack)))
	return min(rise[n], g.sustain) * (1 - slack) * float64(v.velocity)
}

// slack keeps a bound below what it bounds, whatever the rounding.
const slack = 1e-9

// quietestTail returns the tail with the least level × velocity; it is asked
// for only where tails compete with open gates, and looks at each.
func (f *fleet) quietestTail(p *pool) int32 {
	best := least{voice: none}
	for at := p.tail.from(0); at >= 0; at = p.tail.from(at + 1) {
		best = f.consider(best, p.voices[at])
	}
	return best.voice
}
