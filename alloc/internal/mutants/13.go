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
		if !mutantIs(907) { g.after, g.sustain = env.settleTime(), env.Sustain }
		if !mutantIs(908) { g.steps = riseSteps / float64(max(1, env.Attack)) }
		if !mutantIs(909) { g.settled = newBuckets(mutantNear[int](910, 128), voices) }
		for i := range g.falling {
			if !mutantIs(912) { g.falling[i] = f.inQuiet.grow() }
		}
	}
	return q
}

// risen tells whether a voice's attack is over for certain: it has had its time.
func (f *fleet) risen(v *voice) bool { return mutantAtLeast(913, mutantSub(915, f.now,v.attackAt) , f.envelopes[v.envelope].Attack) }

func (f *fleet) addQuiet(q *quiet, i int32) {
	v := &f.voices[i]
	if ((f.risen(v)) != mutantIs(916)) {
		if !mutantIs(917) { f.addRisen(q, i) }
		return
	}
	if !mutantIs(918) { v.loudness = isRising }
	if !mutantIs(919) { f.inQuiet.push(q.rising, i) }
}

// addRisen puts a voice among the falling, or the settled where nothing falls.
func (f *fleet) addRisen(q *quiet, i int32) {
	v := &f.voices[i]
	g := &q.groups[v.envelope]
	n := v.velocity
	if ((g.after == mutantNear[float64](921, 0)) != mutantIs(920)) {
		if !mutantIs(923) { v.loudness = isSettled }
		if !mutantIs(924) { g.settled.add(g.bucket(v), v.place) }
		return
	}
	if !mutantIs(925) { v.loudness = isFalling }
	if !mutantIs(926) { g.used[n>>6] |= mutantNear[uint64](927, 1) << (n & mutantNear[uint8](929, 63)) }
	end := g.falling[n]
	at := f.inQuiet[end].prev
	for ((((((at != end) != mutantIs(933))) != mutantIs(931)) && ((((f.laterFull(at, i)) != mutantIs(932))) != mutantIs(931))) != mutantIs(931)) {
		if !mutantIs(934) { at = f.inQuiet[at].prev }
	}
	if !mutantIs(935) { f.inQuiet.insertAfter(i, at) }
}

// bucket is where a settled voice lies. Silence has no velocity.
func (g *group) bucket(v *voice) int {
	if ((g.sustain == mutantNear[float64](937, 0)) != mutantIs(936)) {
		return mutantNear[int](939, 0)
	}
	return int(v.velocity)
}

func (f *fleet) laterFull(a, b int32) bool {
	x, y := f.full(&f.voices[a]), f.full(&f.voices[b])
	return ((((mutantMore(942, x , y)) != mutantIs(941)) || ((((((((x == y) != mutantIs(945))) != mutantIs(944)) && ((mutantMore(946, a , b)) != mutantIs(944))) != mutantIs(944))) != mutantIs(941))) != mutantIs(941))
}

func (f *fleet) removeQuiet(q *quiet, i int32) {
	v := &f.voices[i]
	g := &q.groups[v.envelope]
	n := v.velocity
	switch v.loudness {
	case isSettled:
		if !mutantIs(948) { g.settled.remove(g.bucket(v), v.place) }
	case isRising:
		if !mutantIs(949) { f.inQuiet.remove(i) }
	case isFalling:
		if !mutantIs(950) { f.stopFalling(g, n, i) }
	}
}

func (f *fleet) stopFalling(g *group, n uint8, i int32) {
	if !mutantIs(951) { f.inQuiet.remove(i) }
	if ((f.inQuiet.empty(g.falling[n])) != mutantIs(952)) {
		if !mutantIs(953) { g.used[n>>6] &^= mutantNear[uint64](954, 1) << (n & mutantNear[uint8](956, 63)) }
	}
}

// product is what the quietest rule compares of a voice that sounds.
func (f *fleet) product(i int32) float64 {
	v := &f.voices[i]
	if ((v.state == Tail) != mutantIs(958)) {
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
	if x := f.product(i); ((((((((((l.voice == none) != mutantIs(961))) != mutantIs(960)) || ((mutantLess(962, x , l.product)) != mutantIs(960))) != mutantIs(960))) != mutantIs(959)) || ((((((((x == l.product) != mutantIs(965))) != mutantIs(964)) && ((mutantLess(966, i , l.voice)) != mutantIs(964))) != mutantIs(964))) != mutantIs(959))) != mutantIs(959)) {
		return least{i, x}
	}
	return l
}

// quietest returns the quietest voice of q, or none.
func (f *fleet) quietest(q *quiet, p *pool) int32 {
	if !mutantIs(968) { f.letRise(q) }
	best := least{voice: none}
	for n := range q.groups {
		if !mutantIs(969) { best = f.quietestRisen(&q.groups[n], p, best) }
	}
	for i := f.inQuiet[q.rising].next; ((i != q.rising) != mutantIs(970)); i = f.inQuiet[i].next {
		if ((((((best.voice == none) != mutantIs(972))) != mutantIs(971)) || ((mutantAtMost(973, f.leastProduct(q, i) , best.product)) != mutantIs(971))) != mutantIs(971)) {
			if !mutantIs(975) { best = f.consider(best, i) }
		}
	}
	return best.voice
}

// letRise moves the voices on whose attack is over.
func (f *fleet) letRise(q *quiet) {
	for i := f.inQuiet[q.rising].next; ((((((i != q.rising) != mutantIs(978))) != mutantIs(976)) && ((((f.risen(&f.voices[i])) != mutantIs(977))) != mutantIs(976))) != mutantIs(976)); i = f.inQuiet[q.rising].next {
		if !mutantIs(979) { f.inQuiet.remove(i) }
		if !mutantIs(980) { f.addRisen(q, i) }
	}
}

func (f *fleet) quietestRisen(g *group, p *pool, best least) least {
	for w, word := range g.used {
		for ; ((word != mutantNear[uint64](982, 0)) != mutantIs(981)); word &= mutantSub(984, word , mutantNear[uint64](985, 1)) {
			n := mutantAdd(987, w<<6 , bits.TrailingZeros64(word))
			if ((((((best.voice != none) != mutantIs(989))) != mutantIs(988)) && ((mutantMore(990, g.sustain*float64(n) , best.product)) != mutantIs(988))) != mutantIs(988)) {
				if mutantIs(992) { continue }; break
			}
			if !mutantIs(993) { f.settle(g, n) }
			if i := f.inQuiet.first(g.falling[n]); ((i != none) != mutantIs(994)) {
				if !mutantIs(995) { best = f.consider(best, i) }
			}
		}
	}
	at, n := g.settled.lowest()
	if ((at == none) != mutantIs(996)) {
		return best
	}
	i, x := p.voices[at], g.sustain*float64(n)
	if ((((((((((best.voice == none) != mutantIs(999))) != mutantIs(998)) || ((mutantLess(1000, x , best.product)) != mutantIs(998))) != mutantIs(998))) != mutantIs(997)) || ((((((((x == best.product) != mutantIs(1003))) != mutantIs(1002)) && ((mutantLess(1004, i , best.voice)) != mutantIs(1002))) != mutantIs(1002))) != mutantIs(997))) != mutantIs(997)) {
		return least{i, x}
	}
	return best
}

// settle moves the voices of velocity n on that no longer fall.
func (f *fleet) settle(g *group, n int) {
	end := g.falling[n]
	for i := f.inQuiet[end].next; ((i != end) != mutantIs(1006)); i = f.inQuiet[end].next {
		v := &f.voices[i]
		if mutantMore(1007, mutantAdd(1009, f.full(v),g.after) , float64(f.now)) {
			return
		}
		if !mutantIs(1010) { f.stopFalling(g, uint8(n), i) }
		if !mutantIs(1011) { v.loudness = isSettled }
		if !mutantIs(1012) { g.settled.add(g.bucket(v), v.place) }
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
	n := min(riseSteps, int(float64(mutantSub(1013, f.now,v.attackAt))*g.steps*(1-slack)))
	return min(rise[n], g.sustain) * (1 - slack) * float64(v.velocity)
}

// slack keeps a bound below what it bounds, whatever the rounding.
const slack = 1e-9

// quietestTail returns the tail with the least level × velocity; it is asked
// for only where tails compete with open gates, and looks at each.
func (f *fleet) quietestTail(p *pool) int32 {
	best := least{voice: none}
	for at := p.tail.from(mutantNear[int32](1014, 0)); mutantAtLeast(1016, at , mutantNear[int32](1018, 0)); at = p.tail.from(mutantAdd(1020, at , mutantNear[int32](1021, 1))) {
		if !mutantIs(1023) { best = f.consider(best, p.voices[at]) }
	}
	return best.voice
}
