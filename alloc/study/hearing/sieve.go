package hearing

import "time"

// sieve leaves out what does not count. Until more goes missing, a stretch differs by no
// more than the one before: what is missing fades, or stays where gates are high, and
// what masks it fades no faster than by the release. A stretch waits as long as no window
// that it is in can come, by that, to an average that counts. Once one can, what waits is
// worked out from what excited the ear then, which is kept for as long. Where nothing can
// happen for a while, the listener sleeps: what it sleeps through is one stretch that waits.
type sieve struct {
	queue    []sifted // those that the next window may meet, from first on
	spare    []sifted
	first    int
	sum      float64 // of their differences at most, in dB·ns
	waits    int     // how many of them wait
	absences ring[absence]

	busy   time.Duration // until when each window counts, whatever comes
	asleep bool

	more  bool // may be missing than in the stretch before
	anew  bool // what is missing has to be taken down
	tail  int  // of the stretch before: see listener.tail
	taken int
	scale float64
	mid   time.Duration
}

// sifted is a stretch. Where it waits, its difference is the most that it can be.
type sifted struct {
	stretch
	waits          bool
	sight, absence int // where it waits; the sight is the first
}

// sight is what was asked for in a step.
type sight struct {
	from, until time.Duration
	asked       int     // place among what was asked for
	scale       float64 // of tails
}

// wish is what was asked for from one change of it to the next, of gates and of tails.
type wish struct {
	stays, fades row
	until        time.Duration // of the last step that is kept
}

// absence is what was missing between two changes of it.
type absence struct {
	stays, fades row
	gates        bool
	low, high    int
	tail, taken  int
	likely       likely
	until        time.Duration // a stretch waits
}

// begin makes ready for a pass.
func (s *sieve) begin() {
	s.queue, s.first, s.sum, s.waits, s.busy, s.asleep = s.queue[:0], 0, 0, 0, 0, false
	s.absences.first, s.more = s.absences.next, true
}

// sift judges a stretch, or lets it wait.
func (l *listener) sift(x stretch, last bool) {
	s := l.sieve
	l.scale()
	k := l.mix.tailScale()
	if x.from < s.busy {
		if x.db = limit; !l.beyond(x.band, k) {
			o := l.odds(k)
			x.db, x.band = l.quick(&o, &l.likely, x.band, last)
		}
		l.band, s.more = x.band, true
		s.put(x)
		return
	}
	l.letGo(x.from - window)
	length := float64(x.to - x.from)
	most, known := l.atMost(x.from, k)
	if known && s.waits > 0 && l.counts(x.from, float64(most*length)) {
		l.workOut(x.from)
		most, _ = l.atMost(x.from, k)
	}
	s.anew = s.anew || !known
	if known && !l.counts(x.from, float64(most*length)) {
		x.db = most
		l.wait(x)
		l.sleep(x.to)
	} else {
		o := l.odds(k)
		x.db, x.band = l.quick(&o, &l.likely, x.band, last)
		l.take(x)
	}
	s.more, s.tail, s.taken, s.scale, s.mid = false, l.tail, l.mix.taken, k, l.middle()
}

// atMost is what a stretch can differ by, by the one before, if that tells.
func (l *listener) atMost(from time.Duration, k float64) (most float64, known bool) {
	s := l.sieve
	if s.more || len(s.queue) == 0 || s.tail != l.tail || s.taken != l.mix.taken || k > s.scale {
		return limit, false
	}
	before := &s.queue[len(s.queue)-1]
	if before.to != from {
		return limit, false
	}
	most = before.db
	if l.lost[0].gates > 0 {
		most += float64(float64(10*inLn10) * l.mix.rates[l.tail] * seconds(l.middle()-s.mid))
	}
	return min(limit, most), true
}

// counts tells whether a window that ends in a stretch, which adds so many dB·ns, can
// have an average that tells: one that is heard, or as long as none is, more than has
// been met, or is told as more than nothing.
func (l *listener) counts(from time.Duration, more float64) bool {
	return l.sieve.within(from)+more >= l.least()
}

// least is the sum that counts, in dB·ns.
func (l *listener) least() float64 {
	const slack = 1 - 1e-6 // of rounding
	return float64(min(l.heard.faint, max(l.heard.Worst, rounding)) * slack * float64(window))
}

// within is the sum of what lies in the window before a time.
func (s *sieve) within(end time.Duration) float64 {
	sum := s.sum
	if s.first < len(s.queue) {
		if x := &s.queue[s.first]; x.from < end-window {
			sum -= float64(x.db * float64(end-window-x.from))
		}
	}
	return sum
}

// take takes over a stretch that has been worked out.
func (l *listener) take(x stretch) {
	s := l.sieve
	l.band = x.band
	s.put(x)
	if s.waits > 0 && l.counts(x.from, 0) {
		l.workOut(x.from)
	}
	if s.waits == 0 {
		s.busy = x.to + time.Duration((s.within(x.to)-l.least())/limit)
	}
}

// put appends a stretch that has been worked out.
func (s *sieve) put(x stretch) {
	if !s.lengthen(x) {
		s.queue = append(s.queue, sifted{stretch: x})
	}
	s.sum += float64(x.db * float64(x.to-x.from))
}

// lengthen lets the last stretch go on with one like it.
func (s *sieve) lengthen(x stretch) bool {
	if len(s.queue) == 0 {
		return false
	}
	y := &s.queue[len(s.queue)-1]
	if y.waits || y.db != x.db || y.to != x.from || y.to-y.from > window {
		return false
	}
	y.to = x.to
	return true
}

// wait lets a stretch wait.
func (l *listener) wait(x stretch) {
	s := l.sieve
	if s.anew {
		s.anew = false
		l.takeDown(x.from)
	}
	at, seen := s.absences.next-1, l.keep()
	s.absences.at(at).until = x.to
	s.sum += float64(x.db * float64(x.to-x.from))
	if n := len(s.queue); n > s.first {
		if y := &s.queue[n-1]; y.waits && y.absence == at && y.db == x.db && y.to == x.from {
			y.to = x.to
			return
		}
	}
	s.queue = append(s.queue, sifted{x, true, seen, at})
	s.waits++
}

// sleep lets the listener sleep to the end of a stretch that waits and on, if what is
// missing can but fade, until something of it changes or the sum may count.
func (l *listener) sleep(from time.Duration) {
	s := l.sieve
	if from < l.until || l.stale || l.lost[0].gates > 0 {
		return
	}
	l.due = min(l.at(), l.wants)
	if most := s.queue[len(s.queue)-1].db; most > 0 {
		l.due = min(l.due, from+time.Duration(min((l.least()-s.within(from))/most, float64(time.Minute))))
	}
	s.asleep = true
}

// rouse ends a sleep.
func (l *listener) rouse(now time.Duration) {
	s := l.sieve
	s.asleep, l.due = false, 0
	x := &s.queue[len(s.queue)-1]
	s.sum += float64(x.db * float64(now-x.to))
	x.to = now
	s.absences.at(x.absence).until = now
}

// takeDown keeps what is missing now.
func (l *listener) takeDown(now time.Duration) {
	r, lost := &l.sieve.absences, &l.lost[0]
	for r.first < r.next && r.at(r.first).until <= now-window {
		r.first++
	}
	a := r.push()
	a.stays, a.fades, a.gates, a.tail, a.taken = lost.rows[0], row{}, lost.gates > 0, l.tail, l.mix.taken
	if l.tail > 0 {
		a.fades = lost.rows[l.tail]
	}
	a.low, a.high = lost.low, lost.high
	bands := append(a.likely.bands[:0], l.likely.bands...)
	a.likely = l.likely
	a.likely.bands = bands
}

// keep keeps what is asked for in this step, and returns where.
func (s *stage) keep() int {
	r := &s.sights
	if s.kept {
		return r.next - 1
	}
	s.kept = true
	for r.first < r.next && r.at(r.first).until <= s.begun-window {
		r.first++
	}
	if !s.wished {
		s.wish()
	}
	at := s.wishes.next - 1
	s.wishes.at(at).until = s.until
	*r.push() = sight{s.begun, s.until, at, s.mix.tailScale()}
	return r.next - 1
}

// wish keeps what is asked for now.
func (s *stage) wish() {
	r := &s.wishes
	s.wished = true
	for r.first < r.next && r.at(r.first).until <= s.begun-window {
		r.first++
	}
	w := r.push()
	w.stays, w.fades = s.mix.asked.rows[0], row{}
	if tail, _ := s.mix.tails(); tail > 0 {
		w.fades = s.mix.asked.rows[tail]
	}
}

// workOut works out what waits and the window before a time meets.
func (l *listener) workOut(now time.Duration) {
	s := l.sieve
	s.queue, s.spare = s.spare[:0], s.queue
	for _, x := range s.spare[s.first:] {
		if !x.waits {
			s.queue = append(s.queue, x)
			continue
		}
		s.sum -= float64(x.db * float64(x.to-x.from))
		a := s.absences.at(x.absence)
		o := odds{stays: &a.stays, fades: &a.fades, gates: a.gates, low: a.low, high: a.high, tail: a.tail, taken: a.taken}
		for at := max(x.sight, l.sights.first); at < l.sights.next && l.sights.at(at).from < x.to; at++ {
			seen := l.sights.at(at)
			y := stretch{from: max(x.from, seen.from), to: min(x.to, seen.until), band: l.band}
			if y.to <= now-window || y.from >= y.to {
				continue
			}
			w := l.wishes.at(seen.asked)
			o.asked, o.all, o.tails, o.k = nil, &w.stays, &w.fades, seen.scale
			y.db, y.band = l.quick(&o, &a.likely, y.band, false)
			l.band = y.band
			s.put(y)
		}
	}
	s.first, s.waits = 0, 0
}

// letGo hands on what no window meets any more that ends after a time: what waits does
// not count.
func (l *listener) letGo(end time.Duration) {
	s := l.sieve
	for ; s.first < len(s.queue) && s.queue[s.first].to <= end; s.first++ {
		x := &s.queue[s.first]
		s.sum -= float64(x.db * float64(x.to-x.from))
		if x.waits {
			s.waits--
		} else {
			l.soFar.put(x.stretch)
		}
	}
	switch {
	case s.first == len(s.queue):
		s.queue, s.first, s.sum = s.queue[:0], 0, 0
	case s.first > 16:
		s.queue, s.first = s.queue[:copy(s.queue, s.queue[s.first:])], 0
	}
}

// ring keeps the last of many.
type ring[T any] struct {
	list        []T // as many as a power of 2
	first, next int // numbers of those that are kept
}

func (r *ring[T]) at(i int) *T { return &r.list[i&(len(r.list)-1)] }

// push makes room for another.
func (r *ring[T]) push() *T {
	if r.next-r.first == len(r.list) {
		old := *r
		r.list = make([]T, max(16, 2*len(old.list)))
		for i := old.first; i < old.next; i++ {
			*r.at(i) = *old.at(i)
		}
	}
	r.next++
	return r.at(r.next - 1)
}
