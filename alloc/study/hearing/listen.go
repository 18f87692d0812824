package hearing

import (
	"slices"
	"time"
)

// step is the longest time for which a difference counts as constant: it is worked
// out for the middle of each step between two instants at which something begins
// or ends in the song as asked, and after every multiple of this. The step is
// split where a loss begins or ends.
const step = 20 * time.Millisecond

// quiet is what of the noise inside the ear is too little to be told: 0.02 dB.
const quiet = 0.005

// stage goes through a song as it is asked for, step by step, for all who listen.
type stage struct {
	mix    *mix
	walk   walk
	oddly  []time.Duration // what begins steps too, sorted
	odd    int             // next of these
	begun  time.Duration   // of the step
	until  time.Duration   // of the step: its end
	asked  row             // of the step, with the noise inside the ear
	scaled bool            // the mix has been looked at for the step
	looked bool            // asked is that of the step
	kept   bool            // it is among the sights
	taken  int             // of the mix when the step began
	began  int             // turns of the mix then
	turns  int             // when it was looked at
	sieves bool            // those who listen have a sieve
	sights ring[sight]     // of the last steps, as far as a stretch waits
	wishes ring[wish]      // of these
	wished bool            // the last of them is what is asked for now

	unsorted []event // scratch of [listener.sortEvents]
	spans    []int32 // too
}

// listener compares what was played with what was asked. It is used again and
// again, and makes nothing anew once it has been used for as large a song; not by
// several goroutines.
type listener struct {
	*Asked
	*stage
	lost     []pile // of the mix: what is missing, in all or in a pass of its own by part
	byPart   bool   // that pass will be
	each     bool   // losses will be judged by themselves
	pieces   []piece
	events   []event
	contours []contour       // of gates that were too long
	held     map[int32]held  // by note: those that others held
	changes  []time.Duration // when those change, sorted
	cut      []int32         // by note: 1 + the loss that its cuts belong to; −1 before that is made
	losses   []loss
	altered  []int32 // by note that is played otherwise: 1 + its loss

	next    int           // of the events
	active  bool          // something is missing that may be told
	wants   time.Duration // until when it may
	due     time.Duration // when it wakes, if it sleeps
	stale   bool          // that may be later
	lacks   bool          // something is missing, or was and has not been forgotten
	watched int           // pieces in that are of wrong pitch, in the second pass
	over    int           // pieces in that sound too long
	inside  []int32       // pieces that have come in since all was forgotten
	played  row           // of the stretch
	missing row
	then    row // what was asked for in a step that waited

	tail   int   // the rate of all tails that sound, in [listener.quick]
	band   uint8 // in which most was missing last
	likely likely
	keeps  bool      // the series of the whole song, not only what is heard of it
	all    series    // of the whole song, where it is kept
	heard  judge     // else
	soFar  averaging // of it
	enough enough
	ended  func() bool // nobody waits any more; nil where somebody always does
	sieve  *sieve      // nil where every stretch is worked out
	ofPart []series    // where byPart, if parts are judged
	single *single     // in the second pass

	memory  *memory  // nil where nothing is remembered
	changed []change // events, with their pieces
	sums    []uint64 // of the changes before each
	powers  []uint64 // of [sumBase]
	first   int      // event of the span
	full    []series // what is heard of it
	span    series   // and then
	numbers []byte   // of the spans so far
	covered int      // events of these
}

// listener returns one that judges the parts too, or not, of what was played.
func (a *Asked) listener(p Played, byPart bool) *listener {
	piles, rates := 1, a.rates
	if byPart {
		piles += len(a.parts)
	}
	if p.otherwise != nil {
		rates = p.otherwise.rates
	}
	s := &stage{mix: newMix(rates, piles)}
	return &listener{Asked: a, stage: s, lost: s.mix.lost[:1], byPart: byPart}
}

// whole returns a listener that judges no part, maybe one that was used before.
func (a *Asked) whole(p Played) *listener {
	l, _ := a.idle.Get().(*listener)
	if l == nil {
		return a.listener(p, false)
	}
	if p.otherwise != nil || len(l.mix.rates) != len(a.rates) {
		l.stage = a.listener(p, false).stage
		l.lost = l.mix.lost[:1]
	}
	return l
}

// listeners returns some that go through a song together.
func (a *Asked) listeners(n int) []*listener {
	s := &stage{mix: newMix(a.rates, n), sieves: true}
	list := make([]*listener, n)
	for i := range list {
		list[i] = &listener{Asked: a, stage: s, lost: s.mix.lost[i : i+1], sieve: &sieve{}}
	}
	return list
}

// pass goes through the song, as far as anything in it is not as asked.
func (l *listener) pass() {
	l.oddly = l.changes
	pass(l.stage, []*listener{l})
}

// pass lets some listen to a song together.
func pass(s *stage, all []*listener) {
	s.mix.reset()
	s.walk = walk{Asked: all[0].Asked}
	s.walk.at, s.odd = s.walk.next(), 0
	s.sights.first, s.wishes.first, s.wished = s.sights.next, s.wishes.next, false
	for _, l := range all {
		l.begin()
	}
	for t := begins(all); t < never; {
		if len(all) == 1 && !all[0].active && all[0].recall() {
			t = begins(all)
			continue
		}
		stirred := s.enter(t)
		active, sleeps := false, false
		for _, l := range all {
			if l.due < s.until || stirred {
				l.within()
			}
			active = active || l.active
			sleeps = sleeps || l.sieve != nil && l.sieve.asleep
		}
		if sleeps {
			s.keep()
		}
		if t = s.until; !active {
			t = max(t, begins(all))
		}
		if !slices.ContainsFunc(all, func(l *listener) bool { return !l.knows() }) {
			return
		}
	}
}

// enough ends a pass for those who only want to know whether a difference is reached.
type enough struct {
	level   float64 // in dB; 0 where all wants to be heard
	reached bool
}

// knows tells whether nobody waits for more, or what was heard so far is enough: clearly, by
// more than rounding. What comes later makes the average of no window less.
func (l *listener) knows() bool {
	if l.ended != nil && l.ended() || l.single != nil && l.single.over(l) {
		return true
	}
	e := &l.enough
	e.reached = e.level > 0 && l.heard.Worst >= e.level+2*rounding
	return e.reached
}

// begins is when the next piece begins of any.
func begins(all []*listener) time.Duration {
	t := never
	for _, l := range all {
		t = min(t, l.at())
	}
	return t
}

// begin makes ready for a pass.
func (l *listener) begin() {
	l.inside = l.inside[:0]
	if l.single == nil {
		l.all = l.all[:0]
		l.heard = l.Model.Ear.judge(true)
		l.soFar.begin(&l.heard)
		if l.sieve != nil {
			l.sieve.begin()
		}
	}
	for i := range l.pieces {
		l.pieces[i].in = silent
	}
	l.due, l.next, l.wants, l.watched, l.over, l.active, l.lacks, l.stale = 0, 0, 0, 0, 0, false, false, false
	l.likely.bands = l.likely.bands[:0]
}

// at is when a piece changes next.
func (l *listener) at() time.Duration {
	if l.next == len(l.events) {
		return never
	}
	return l.events[l.next].at
}

// within goes through a step, if there is anything to it.
func (l *listener) within() {
	if l.sieve != nil && l.sieve.asleep {
		l.rouse(l.begun)
	}
	l.through()
	switch {
	case !l.active:
		l.due = l.at()
	case l.sieve == nil || !l.sieve.asleep:
		l.due = 0
	}
}

func (l *listener) through() {
	for t := l.begun; t < l.until; {
		if !l.active {
			for l.recall() {
			}
			if t = max(t, l.at()); t >= l.until {
				return
			}
			l.active, l.first, l.full, l.span, l.band = true, l.next, l.full[:0], l.span[:0], 0
		}
		l.change(t)
		if l.mayForget(t) && (l.lacks || l.watched == 0) {
			if l.forget(); !l.active {
				l.remember(t)
				continue
			}
		}
		to := min(l.until, l.at())
		l.stretch(t, to)
		t = to
	}
}

// enter begins the step that an instant lies in, and tells whether what is asked for
// may be missed more than before though the same is missing.
func (s *stage) enter(t time.Duration) bool {
	s.wished = s.wished && s.walk.at > t
	s.walk.to(t, s.mix)
	for ; s.odd < len(s.oddly) && s.oddly[s.odd] <= t; s.odd++ {
		s.mix.advance(max(s.mix.now, s.oddly[s.odd]))
	}
	s.begun = max(s.mix.now, t-t%step)
	s.mix.advance(s.begun)
	s.until = min(s.walk.at, s.begun-s.begun%step+step)
	if s.odd < len(s.oddly) {
		s.until = min(s.until, s.oddly[s.odd])
	}
	s.scaled, s.looked, s.kept = false, false, false
	if s.sieves {
		s.scale()
	}
	stirred := s.taken != s.mix.taken || s.began != s.mix.turns
	s.wished = s.wished && !stirred
	s.taken, s.began = s.mix.taken, s.mix.turns
	return stirred
}

// change lets pieces enter, leave and change.
func (l *listener) change(t time.Duration) {
	if l.at() > t {
		return
	}
	moved, left := false, false // what is missing, and something that was
	for ; l.at() <= t; l.next++ {
		at := l.events[l.next].piece
		x := &l.pieces[at]
		now := silent
		if t < x.to {
			now = x.phase(t)
		}
		if now != x.in {
			l.move(at, now)
		}
		moved = moved || x.voices != 0
		left = left || now == silent
	}
	if !moved {
		return
	}
	l.lacks, l.likely.bands = true, l.likely.bands[:0]
	if left || l.wants == never {
		l.wants = t
	}
	l.wants, l.stale = max(l.wants, t), true
}

// mayForget tells whether what is missing cannot be told any more. When that will be is
// worked out again only when it may have come: what has been added since makes it later.
func (l *listener) mayForget(t time.Duration) bool {
	if t < l.wants {
		return false
	}
	if l.stale {
		l.scale()
		l.stale = false
		for i := range l.lost {
			l.wants = max(l.wants, l.untilQuiet(&l.lost[i], t))
		}
	}
	return t >= l.wants
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
	switch {
	case x.voices == 0:
		return
	case x.voices < 0 && was == silent:
		l.over++
	case x.voices < 0 && now == silent:
		l.over--
	}
	if l.sieve != nil {
		l.sieve.anew = true
		l.sieve.more = l.sieve.more || now != silent && (was != holding || now != fading)
	}
	p := &l.lost[0]
	if len(l.lost) > 1 {
		p = &l.lost[l.Reference.Notes[x.note].Part]
	}
	l.mix.turn(p, x.contour, was, now, x.voices)
}

// untilQuiet is until when a pile may be told: while a gate is high always, then
// until its slowest tail has faded below what can.
func (l *listener) untilQuiet(p *pile, t time.Duration) time.Duration {
	if p.gates > 0 {
		return never
	}
	slowest, rates := 0.0, l.mix.rates
	for r, live := range p.live {
		if live && (slowest == 0 || rates[r] < slowest) {
			slowest = rates[r]
		}
	}
	over := l.mix.loudest(p) / quiet
	if slowest == 0 || over <= 1 {
		return t
	}
	return t + time.Duration(log(over)/slowest*1e9)
}

// forget empties the piles of what is missing: tails that have faded away. Wrong
// pitches that are watched stay.
func (l *listener) forget() {
	l.active, l.lacks, l.over, l.likely.bands = l.watched > 0, false, 0, l.likely.bands[:0]
	watched := l.inside[:0]
	for _, at := range l.inside {
		if x := &l.pieces[at]; x.voices == 0 && l.active {
			watched = append(watched, at)
		} else {
			x.in = silent
		}
	}
	l.inside = watched
	if l.single != nil {
		l.single.dropFaded(l)
	}
	for i := range l.lost {
		l.mix.clear(&l.lost[i])
	}
}

// scale works out by how much everything has changed by the middle of this step.
func (s *stage) scale() {
	if !s.scaled || s.turns != s.mix.turns {
		s.mix.look(s.middle())
		s.scaled, s.turns = true, s.mix.turns
	}
}

func (s *stage) middle() time.Duration { return s.begun + (s.until-s.begun)/2 }

// look works out what excites the ear in this step.
func (s *stage) look() {
	if s.looked {
		return
	}
	s.scale()
	s.looked = true
	if tail, only := s.mix.tails(); only {
		s.asked.excite(&s.mix.asked.rows[0], &s.mix.asked.rows[tail], s.mix.tailScale())
		return
	}
	s.asked = theEar.noise
	s.mix.sum(&s.mix.asked, &s.asked)
}

// play works out what excites it as played, and returns how many piles lack
// something, and the last of them. What rounding takes below the noise is not there.
func (l *listener) play() (lacking, last int) {
	l.look()
	if l.plain() {
		lost := &l.lost[0]
		l.played.lack(&l.asked, &lost.rows[0], &lost.rows[l.tail], l.mix.tailScale())
		return 1, 0
	}
	l.missing = row{}
	for i := range l.lost {
		if l.lost[i].lives > 0 {
			lacking, last = lacking+1, i
			l.mix.sum(&l.lost[i], &l.missing)
		}
	}
	l.played.lack(&l.asked, &l.missing, &row{}, 0)
	return lacking, last
}

// excite makes a row what gates and tails, on a scale, excite beside the noise inside the ear.
func (r *row) excite(stays, fades *row, k float64) {
	for b, noise := range &theEar.noise {
		r[b] = noise + stays[b] + float64(k*fades[b])
	}
}

// lack makes a row what is left of another without what is missing of gates and of tails, on
// a scale.
func (r *row) lack(all, stays, fades *row, k float64) {
	noise := &theEar.noise
	for b, x := range all {
		x -= stays[b] + float64(k*fades[b])
		if x < noise[b] {
			x = noise[b]
		}
		r[b] = x
	}
}

// stretch judges a stretch of the step.
func (l *listener) stretch(from, to time.Duration) {
	x := stretch{from: from, to: to, band: l.band}
	switch {
	case l.single != nil:
		l.single.stretch(l, from, to)
		return
	case len(l.lost) > 1:
		l.parted(x)
		return
	case !l.plain():
		l.likely.bands = l.likely.bands[:0]
		l.play()
		x.db, x.band = differ(&l.asked, &l.played)
		if l.sieve != nil {
			l.letGo(from - window)
			l.sieve.more = true
			l.take(x)
			return
		}
	case l.sieve != nil:
		l.sift(x, to == l.at())
		return
	default:
		l.scale()
		o := l.odds(l.mix.tailScale())
		x.db, x.band = l.quick(&o, &l.likely, x.band, to == l.at())
	}
	if l.band = x.band; l.keeps {
		l.all = l.all.put(x)
	} else {
		l.soFar.put(x)
		if l.memory != nil {
			l.putSpan(x)
		}
	}
}

// hearParts goes through the song once more, part by part.
func (l *listener) hearParts() {
	all := l.all
	l.all, l.ofPart, l.lost = nil, make([]series, len(l.parts)), l.mix.lost[1:]
	l.pass()
	l.all, l.lost = all, l.mix.lost[:1]
}

// parted judges the parts by themselves: what was played, and that with what the
// part lacks.
func (l *listener) parted(x stretch) {
	lacking, last := l.play()
	if lacking == 1 {
		x.db, x.band = differ(&l.asked, &l.played)
		l.ofPart[last] = l.ofPart[last].put(x)
		return
	}
	for i := range l.lost {
		if p := &l.lost[i]; p.lives > 0 {
			l.missing = l.played
			l.mix.sum(p, &l.missing)
			x.db, x.band = differ(&l.missing, &l.played)
			l.ofPart[i] = l.ofPart[i].put(x)
		}
	}
}

// differ returns by how much two rows differ, in dB, and in which band most.
func differ(a, b *row) (db float64, band uint8) {
	num, den := 1.0, 1.0
	for i, x := range a {
		y := b[i]
		if x < y {
			x, y = y, x
		}
		if float64(x*den) > float64(num*y) {
			num, den, band = x, y, uint8(i)
		}
	}
	return min(limit, decibels(num/den)), band
}

// plain tells whether what sounds now is of gates that are at their level and of
// tails of one rate, and nothing sounds too long: [listener.quick] will do.
func (l *listener) plain() (only bool) {
	if len(l.lost) > 1 || l.over > 0 {
		return false
	}
	l.tail, only = l.mix.tails()
	return only
}
