package hearing

import "time"

// step is the longest time for which a difference counts as constant: it is worked
// out for the middle of each step between two instants at which something begins
// or ends in the song as asked, and after every multiple of this. The step is
// split where a loss begins or ends.
const step = 20 * time.Millisecond

// quiet is what of the noise inside the ear is too little to be told: 0.02 dB.
const quiet = 0.005

// listener compares what was played with what was asked. It is used again and
// again, and makes nothing anew once it has been used for as large a song; not by
// several goroutines.
type listener struct {
	*Asked
	byPart   bool
	each     bool // losses will be judged by themselves
	mix      *mix
	pieces   []piece
	events   []event
	contours []contour       // of gates that were too long
	oddly    []time.Duration // when those change, sorted: they begin steps too
	odd      int             // next of these
	cut      []int32         // by note: 1 + the loss that its cuts belong to
	losses   []loss

	walk    walk
	begun   time.Duration // of the step
	ends    time.Duration // of the step
	wants   time.Duration // until when what is missing may be told
	watched int           // pieces in that are of wrong pitch, in the second pass
	asked   row           // of the step, with the noise inside the ear
	played  row           // of the stretch
	missing row
	scaled  bool    // the mix has been looked at for the step
	looked  bool    // asked is that of the step
	inside  []int32 // pieces that have come in since all was forgotten

	tail   int      // the rate of all tails that sound, in [listener.quick]
	band   uint8    // in which most was missing last
	all    series   // the whole song
	ofPart []series // where byPart
	single *single  // in the second pass
}

// listener returns one that judges the parts too, or not.
func (a *Asked) listener(byPart bool) *listener {
	piles := 1
	if byPart {
		piles = len(a.parts)
	}
	return &listener{Asked: a, byPart: byPart, mix: newMix(a.rates, piles), ofPart: make([]series, piles)}
}

// pass goes through the song, as far as anything in it is not as asked.
func (l *listener) pass() {
	l.mix.reset()
	l.inside = l.inside[:0]
	for i := range l.pieces {
		l.pieces[i].in = silent
	}
	l.walk = walk{Asked: l.Asked}
	l.walk.at = l.walk.next()
	l.wants, l.watched, l.odd = 0, 0, 0
	for next := 0; next < len(l.events); {
		t := l.events[next].at
		l.enter(t)
		for {
			next = l.change(t, next)
			if t >= l.wants && l.watched == 0 {
				l.forget()
				break
			}
			to := l.ends
			if next < len(l.events) {
				to = min(to, l.events[next].at)
			}
			l.stretch(t, to)
			if t = to; t == l.ends {
				l.enter(t)
			}
		}
	}
}

// enter begins the step that an instant lies in.
func (l *listener) enter(t time.Duration) {
	l.walk.to(t, l.mix)
	for ; l.odd < len(l.oddly) && l.oddly[l.odd] <= t; l.odd++ {
		l.mix.advance(max(l.mix.now, l.oddly[l.odd]))
	}
	l.begun = max(l.mix.now, t-t%step)
	l.mix.advance(l.begun)
	l.ends = min(l.walk.at, l.begun-l.begun%step+step)
	if l.odd < len(l.oddly) {
		l.ends = min(l.ends, l.oddly[l.odd])
	}
	l.scaled, l.looked = false, false
}

// change lets pieces enter, leave and change, and returns the next event.
func (l *listener) change(t time.Duration, next int) int {
	if next == len(l.events) || l.events[next].at > t {
		return next
	}
	for ; next < len(l.events) && l.events[next].at <= t; next++ {
		x := &l.pieces[l.events[next].piece]
		now := silent
		if t < x.to {
			now = x.phase(t)
		}
		if now != x.in {
			l.move(l.events[next].piece, now)
		}
	}
	l.scale()
	l.wants = t
	for i := range l.mix.lost {
		l.wants = max(l.wants, l.untilQuiet(&l.mix.lost[i], t))
	}
	return next
}

// move takes a piece from one phase into another.
func (l *listener) move(at int32, now phase) {
	x := &l.pieces[at]
	was := x.in
	x.in = now
	if was == silent {
		l.inside = append(l.inside, at)
	}
	if l.single != nil {
		l.single.move(l, at, was)
	}
	if x.voices == 0 {
		return
	}
	p := &l.mix.lost[x.pile]
	if was != silent {
		l.mix.leave(p, x.contour, was, x.voices)
	}
	if now != silent {
		l.mix.enter(p, x.contour, now, x.voices)
	}
}

// untilQuiet is until when a pile may be told: while a gate is high always, then
// until its slowest tail has faded below what can.
func (l *listener) untilQuiet(p *pile, t time.Duration) time.Duration {
	if p.gates > 0 {
		return never
	}
	slowest := 0.0
	for r, live := range p.live {
		if live && (slowest == 0 || l.rates[r] < slowest) {
			slowest = l.rates[r]
		}
	}
	over := l.mix.loudest(p) / quiet
	if slowest == 0 || over <= 1 {
		return t
	}
	return t + time.Duration(log(over)/slowest*1e9)
}

// forget empties the piles of what is missing: tails that have faded away.
func (l *listener) forget() {
	for _, at := range l.inside {
		l.pieces[at].in = silent
	}
	l.inside = l.inside[:0]
	if l.single != nil {
		l.single.dropAll(l)
	}
	for i := range l.mix.lost {
		l.mix.clear(&l.mix.lost[i])
	}
}

// scale works out by how much everything has changed by the middle of this step.
func (l *listener) scale() {
	if !l.scaled {
		l.mix.look(l.middle())
		l.scaled = true
	}
}

func (l *listener) middle() time.Duration { return l.begun + (l.ends-l.begun)/2 }

// look works out what excites the ear in this step.
func (l *listener) look() {
	if !l.looked {
		l.scale()
		l.asked = theEar.noise
		l.mix.sum(&l.mix.asked, &l.asked)
		l.looked = true
	}
}

// play works out what excites it as played, and returns how many piles lack
// something, and the last of them. What rounding takes below the noise is not there.
func (l *listener) play() (lacking, last int) {
	l.look()
	l.missing = row{}
	for i := range l.mix.lost {
		if l.mix.lost[i].lives > 0 {
			lacking, last = lacking+1, i
			l.mix.sum(&l.mix.lost[i], &l.missing)
		}
	}
	for b := range l.played {
		l.played[b] = max(l.asked[b]-l.missing[b], theEar.noise[b])
	}
	return lacking, last
}

// stretch judges a stretch of the step.
func (l *listener) stretch(from, to time.Duration) {
	if l.single != nil {
		l.single.stretch(l, from, to)
		return
	}
	x := stretch{from: from, to: to, band: l.band}
	if l.plain() {
		x.db, x.band = l.quick(x.band)
		l.all, l.band = l.all.put(x), x.band
		return
	}
	lacking, last := l.play()
	x.db, x.band = differ(&l.asked, &l.played)
	l.all = l.all.put(x)
	switch {
	case !l.byPart:
	case lacking == 1:
		l.ofPart[last] = l.ofPart[last].put(x)
	default:
		l.parted(x)
	}
}

// parted judges the parts by themselves: what was played, and that with what the
// part lacks.
func (l *listener) parted(x stretch) {
	for i := range l.mix.lost {
		if p := &l.mix.lost[i]; p.lives > 0 {
			l.missing = l.played
			l.mix.sum(p, &l.missing)
			x.db, x.band = differ(&l.missing, &l.played)
			l.ofPart[i] = l.ofPart[i].put(x)
		}
	}
}

// differ returns by how much two rows differ, in dB, and in which band most.
func differ(a, b *row) (db float64, band uint8) {
	most := 1.0
	for i := range a {
		r := a[i] / b[i]
		if r < 1 {
			r = b[i] / a[i]
		}
		if r > most {
			most, band = r, uint8(i)
		}
	}
	return min(limit, decibels(most)), band
}

// plain tells whether what sounds now is of gates that are at their level and of
// tails of one rate, and nothing sounds too long: [listener.quick] will do.
func (l *listener) plain() bool {
	if len(l.mix.lost) > 1 || len(l.oddly) > 0 {
		return false
	}
	l.tail = 0
	for r := 1; r < len(l.rates); r++ {
		if l.mix.used[r] > 0 {
			if l.tail > 0 || (r-1)%ratesEach != tailRate {
				return false
			}
			l.tail = r
		}
	}
	return true
}

// most10 is the ratio of powers at the limit.
const most10 = 10.0

// quick is [listener.play] and [differ] in one, band by band, and ends with the
// first that reaches the limit. It begins with the one that it is told.
func (l *listener) quick(first uint8) (db float64, band uint8) {
	l.scale()
	m := l.mix
	gate, tail := &m.asked.rows[0], &m.asked.rows[l.tail]
	lost, gone := &m.lost[0].rows[0], &m.lost[0].rows[l.tail]
	noise, k := &theEar.noise, m.mid[l.tail]
	if l.tail == 0 {
		k = 0
	}
	num, den := 1.0, 1.0
	if b := int(first); true {
		missing := lost[b] + float64(k*gone[b])
		asked := noise[b] + gate[b] + float64(k*tail[b])
		if played := max(asked-missing, noise[b]); asked >= float64(most10*played) {
			return limit, first
		}
	}
	for b := range Bands {
		missing := lost[b] + float64(k*gone[b])
		asked := noise[b] + gate[b] + float64(k*tail[b])
		played := asked - missing
		if played < noise[b] {
			played = noise[b]
		}
		if float64(asked*den) > float64(num*played) {
			num, den, band = asked, played, uint8(b)
		}
	}
	return min(limit, decibels(num/den)), band
}
