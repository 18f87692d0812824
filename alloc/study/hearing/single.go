package hearing

import (
	"math"
	"slices"
	"time"
)

// single judges each loss by itself: the song as played beside the same with this
// one loss undone. A loss is never heard more than all of them together, but for
// what sounds too long; so only the times count at which these are heard, with
// half a window around. A wrong pitch is none of them and judged always.
//
// Most losses are masked most of the time. A loss waits while no window that it is in
// can have an average that is heard: while all that is near is below what the ear takes.
// That follows from the stretch before, by how much less was played since in any band.
// What waits is worked out if it comes to count, from what was played then.
type single struct {
	group   uint8 // of the losses that it judges
	last    int   // event of these, or more
	near    []run
	at      int     // the first that is not over
	live    []int32 // pieces that are in
	touched []int32 // losses of this stretch
	stamp   int32
	past    ring[passed]
	grows   float64   // by how much a loss that stays is at most more than in the stretch before
	falls   []float64 // by rate: what of a power is left since then
	waits   float64   // what is missing, of what was played, at least to be heard
	spare   []series
	ear     Ear
}

// passed is a stretch, and what was played in it.
type passed struct {
	number        int // of the first stretch that is not before this one
	from, to, mid time.Duration
	played        row
}

// newSingle returns one that judges near some times.
func (l *listener) newSingle(near []run) *single {
	const slack = 1 - 1e-6 // of rounding
	ear := l.Model.Ear
	return &single{last: len(l.events), near: near, ear: ear, falls: make([]float64, len(l.mix.rates)), waits: float64((power(ear.Faint-rounding) - 1) * slack)}
}

// shortest is how long what is missing must last to be heard: less does not fill
// the window.
func (e Ear) shortest() time.Duration {
	return time.Duration((e.Faint - rounding) / limit * float64(window))
}

// widen returns the times in which some runs matter.
func widen(runs []run) []run {
	var near []run
	for _, r := range runs {
		r.from, r.to = r.from-half, r.to+half
		if n := len(near); n > 0 && near[n-1].to >= r.from {
			near[n-1].to = r.to
			continue
		}
		near = append(near, r)
	}
	return near
}

// move keeps the list of pieces that are in.
func (s *single) move(l *listener, at int32, was phase) {
	x := &l.pieces[at]
	switch {
	case x.loss < 0 || !s.judges(l, x.loss):
	case was == silent && x.in != silent:
		if x.voices == 0 {
			l.watched++
		} else if l.losses[x.loss].pieces == 1 && s.inaudible(x) {
			return
		}
		s.live = append(s.live, at)
	case x.in == silent:
		s.drop(l, at)
	default:
		l.losses[x.loss].most = 0
	}
}

// inaudible tells whether the ear cannot hear the whole of a piece.
func (s *single) inaudible(x *piece) bool {
	if x.to-x.from < s.ear.shortest() {
		return true
	}
	return x.in == fading && decibels(1+float64(x.fade(x.from)*x.gain*x.voices*x.tone.most)) < s.ear.Faint-rounding
}

// drop takes a piece off the list, if it is there.
func (s *single) drop(l *listener, at int32) {
	i := slices.Index(s.live, at)
	if i < 0 {
		return
	}
	s.live[i] = s.live[len(s.live)-1]
	s.live = s.live[:len(s.live)-1]
	x := &l.pieces[at]
	if x.voices == 0 {
		l.watched--
	}
	if y := &l.losses[x.loss]; y.pieces > 1 {
		y.pieces--
	} else {
		s.finish(y)
	}
}

// dropFaded drops all but the wrong pitches.
func (s *single) dropFaded(l *listener) {
	for i := len(s.live) - 1; i >= 0; i-- { // the last, which takes the place of another, was looked at
		if l.pieces[s.live[i]].voices != 0 {
			s.drop(l, s.live[i])
		}
	}
}

// finish judges a loss that is over.
func (s *single) finish(y *loss) {
	y.heard = s.ear.judge(false)
	for _, x := range y.series {
		y.area += float64(x.db * seconds(x.to-x.from))
	}
	if y.area/seconds(window) >= s.ear.Faint-rounding { // if all of it were in one window
		y.heard.average(y.series)
	}
	if len(y.other) > 0 {
		other := s.ear.judge(false)
		if other.average(y.other); other.Worst > y.heard.Worst || other.Worst == y.heard.Worst && other.Loud > y.heard.Loud {
			y.heard = other
		}
	}
	for _, used := range [...]series{y.series, y.other} {
		if cap(used) > 0 {
			s.spare = append(s.spare, used[:0])
		}
	}
	y.series, y.other = nil, nil
}

// fresh returns an empty series.
func (s *single) fresh() series {
	n := len(s.spare)
	if n == 0 {
		return make(series, 0, 64)
	}
	x := s.spare[n-1]
	s.spare = s.spare[:n-1]
	return x
}

// stretch judges all that is in.
func (s *single) stretch(l *listener, from, to time.Duration) {
	for s.at < len(s.near) && s.near[s.at].to <= from {
		s.at++
	}
	near := s.at < len(s.near) && s.near[s.at].from < to
	if !near && l.watched == 0 || len(s.live) == 0 {
		return
	}
	l.play()
	x := passed{number: s.past.next, from: from, to: to, mid: l.middle()}
	if near {
		s.pass(l, &x)
	}
	s.stamp++
	s.touched = s.touched[:0]
	for i := 0; i < len(s.live); i++ {
		if s.judge(l, s.live[i], &x, near) {
			s.drop(l, s.live[i])
			i--
		}
	}
	if near {
		s.compare(l, x.from)
	}
}

// pass keeps what is played now, and works out how much less it is than before.
func (s *single) pass(l *listener, x *passed) {
	for s.past.first < s.past.next && s.past.at(s.past.first).to <= x.from-window {
		s.past.first++
	}
	s.grows = math.Inf(1)
	if s.past.first < s.past.next {
		if before := s.past.at(s.past.next - 1); before.to == x.from {
			s.grows = before.played.over(&l.played)
			for r := 1 + tailRate; r < len(s.falls); r += ratesEach {
				s.falls[r] = exp(float64(-l.mix.rates[r] * seconds(x.mid-before.mid)))
			}
		}
	}
	now := s.past.push()
	*now = *x
	now.played = l.played
}

// judge looks at a piece, and tells whether it has faded away.
func (s *single) judge(l *listener, at int32, now *passed, near bool) (faded bool) {
	x := &l.pieces[at]
	y := &l.losses[x.loss]
	if near && y.most > 0 && now.from >= y.until {
		if y.most = float64(y.most * s.grows); x.in == fading {
			y.most = float64(y.most * s.falls[x.first+tailRate])
		}
		if y.most < s.waits && now.mid < y.gone {
			return false
		}
	}
	power := x.missing(x.in, now.mid)
	if x.voices == 0 {
		power = float64(power * l.notes[x.note].voices)
	}
	switch {
	case x.in == fading && math.Abs(power)*x.tone.most < quiet:
		return true
	case x.voices == 0:
		s.wrong(l, y, x, stretch{from: now.from, to: now.to}, power)
		return false
	case y.stamp != s.stamp:
		if y.stamp == 0 {
			y.next = now.number
		}
		y.stamp, y.power = s.stamp, 0
		s.touched = append(s.touched, at)
	}
	y.power += power
	return false
}

// missing is the power of a piece at a time, in a phase; of one voice where its pitch is
// wrong.
func (x *piece) missing(in phase, t time.Duration) float64 {
	power := float64(x.power(in, t) * x.gain)
	if x.voices == 0 {
		return power
	}
	return float64(power * x.voices)
}

// compare judges the losses that are touched.
func (s *single) compare(l *listener, from time.Duration) {
	now := s.past.at(s.past.next - 1)
	for _, i := range s.touched {
		x := &l.pieces[i]
		y := &l.losses[x.loss]
		y.most = 0
		most, band := -1.0, y.band
		if y.pieces == 1 && x.voices > 0 && (x.in != rising || x.rises > 0) {
			most, band = x.tone.over(y.power, &now.played, y.band)
			if y.most, y.gone = most, x.gone(); most < s.waits && from >= y.until {
				continue
			}
		}
		for ; y.next < s.past.next-1; y.next++ {
			if was := s.past.at(y.next); y.next >= s.past.first {
				s.put(y, x, was, x.missing(x.phase(was.mid), was.mid), -1)
			}
		}
		if most >= 0 {
			y.band = band
		}
		s.put(y, x, now, y.power, most)
		y.next++
	}
}

// gone is about when a piece that fades has faded away.
func (x *piece) gone() time.Duration {
	switch {
	case x.in != fading:
		return never
	case x.fades == 0:
		x.fades = 1 + x.fadesAt()
	}
	return x.fades - 1
}

func (x *piece) fadesAt() time.Duration {
	return x.low + time.Duration(log(float64(x.after*x.gain*x.voices*x.tone.most)/quiet)/x.tail*1e9) - 1
}

// put judges what is missing in a stretch: most is how much of what was played, below 0 where
// that is not known.
func (s *single) put(y *loss, x *piece, at *passed, power, most float64) {
	if y.series == nil {
		y.series = s.fresh()
	}
	z := stretch{from: at.from, to: at.to}
	if power >= 0 {
		if most < 0 {
			most, y.band = x.tone.over(power, &at.played, y.band)
		}
		if z.db = limited(most); most >= s.waits {
			y.until = at.to + window
		}
	} else { // it sounds too long
		z.db, y.until = min(limit, decibels(x.tone.without(-power, &at.played))), at.to+window
	}
	y.series = y.series.put(z)
}

// beyond is what is missing, of what was played, to be clearly beyond the limit.
const beyond = 1.0001*most10 - 1

// over is the largest of what a tone of some power excites over a row, and in which
// band, or the first that is beyond the limit, band before all others.
func (t *tone) over(power float64, all *row, band uint8) (float64, uint8) {
	num, den := float64(power*t.excites[band]), all[band]
	if num >= float64(beyond*den) {
		return num / den, band
	}
	num = t.excites[band]
	rest := all[t.low:t.high]
	for i, x := range t.excites[t.low:t.high] {
		if y := rest[i]; float64(x*den) > float64(num*y) {
			num, den, band = x, y, uint8(t.low+i)
		}
	}
	return float64(power*num) / den, band
}

// wrong judges a note of wrong pitch twice beside all the rest: as if it were
// missing, and as if it were one too many. One that is only weighed is missing.
func (s *single) wrong(l *listener, y *loss, x *piece, at stretch, power float64) {
	if y.series == nil {
		y.series = s.fresh()
	}
	n := &l.notes[x.note]
	most, band := n.tone.beside(power, &l.played, n.tone, y.band)
	at.db, y.band = limited(most), band
	y.series = y.series.put(at)
	if y.what != WrongPitch {
		return
	}
	ref := &l.Reference.Notes[x.note]
	played := l.tones[ref.Part].of(ref.Sounding + int(math.Floor(y.cents/100+0.5)))
	most, y.otherBand = played.beside(power, &l.played, n.tone, y.otherBand)
	if at.db = limited(most); y.other == nil {
		y.other = s.fresh()
	}
	y.other = y.other.put(at)
}

// limited is the difference, in dB, of what is more by so much of what there is.
func limited(most float64) float64 {
	if most >= beyond {
		return limit
	}
	return min(limit, decibels(1+most))
}

// without is by how much a row is more, in the band where it is most, than the same
// without a tone of some power.
func (t *tone) without(power float64, all *row) float64 {
	most := 1.0
	for b := t.low; b < t.high; b++ {
		most = max(most, all[b]/max(all[b]-float64(power*t.excites[b]), theEar.noise[b]))
	}
	return most
}

// beside is the largest of what a tone of some power excites over a row without another
// tone of that power, and in which band, or one that is beyond the limit, band before all others.
func (t *tone) beside(power float64, all *row, without *tone, band uint8) (float64, uint8) {
	rest := func(b int) float64 { return max(all[b]-float64(power*without.excites[b]), theEar.noise[b]) }
	num, den := float64(power*t.excites[band]), rest(int(band))
	if num >= float64(beyond*den) {
		return num / den, band
	}
	for b := t.low; b < t.high; b++ {
		if mine, of := float64(power*t.excites[b]), rest(b); float64(mine*den) > float64(num*of) {
			num, den, band = mine, of, uint8(b)
			if num >= float64(beyond*den) {
				break
			}
		}
	}
	return num / den, band
}
