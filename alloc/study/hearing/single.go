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
type single struct {
	near    []run
	at      int     // the first that is not over
	live    []int32 // pieces that are in
	touched []int32 // losses of this stretch
	stamp   int32
	inverse row // 1 ÷ as played
	spare   []series
	ear     Ear
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
	case x.loss < 0:
	case was == silent && x.in != silent:
		if x.voices == 0 {
			l.watched++
		} else if l.losses[x.loss].pieces == 1 && s.inaudible(x) {
			return
		}
		s.live = append(s.live, at)
	case x.in == silent:
		s.drop(l, at)
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
	for b := range s.inverse {
		s.inverse[b] = 1 / l.played[b]
	}
	s.stamp++
	s.touched = s.touched[:0]
	mid := l.middle()
	for i := 0; i < len(s.live); i++ {
		x := &l.pieces[s.live[i]]
		y := &l.losses[x.loss]
		power := float64(x.power(x.in, mid) * x.gain)
		voices := x.voices
		if voices == 0 {
			voices = l.notes[x.note].voices
		}
		power = float64(power * voices)
		switch {
		case x.in == fading && math.Abs(power)*x.tone.most < quiet:
			s.drop(l, s.live[i])
			i--
			continue
		case x.voices == 0:
			s.wrong(l, y, x, stretch{from: from, to: to}, power)
			continue
		case y.stamp != s.stamp:
			y.stamp, y.power = s.stamp, 0
			s.touched = append(s.touched, s.live[i])
		}
		y.power += power
	}
	if near {
		s.compare(l, stretch{from: from, to: to})
	}
}

// compare judges the losses that are touched.
func (s *single) compare(l *listener, at stretch) {
	for _, i := range s.touched {
		x := &l.pieces[i]
		y := &l.losses[x.loss]
		if y.series == nil {
			y.series = s.fresh()
		}
		if y.power >= 0 {
			most, band := x.tone.over(&s.inverse, y.band, beyond/y.power)
			at.db, y.band = limit, band
			if missing := float64(y.power * most); missing < beyond {
				at.db = min(limit, decibels(1+missing))
			}
		} else { // it sounds too long
			at.db = min(limit, decibels(x.tone.without(-y.power, &l.played)))
		}
		y.series = y.series.put(at)
	}
}

// beyond is what is missing, of what was played, to be clearly beyond the limit.
const beyond = 1.0001*most10 - 1

// over is the largest of what a tone excites times a row, and in which band, or the
// first that is enough, band before all others.
func (t *tone) over(inverse *row, band uint8, enough float64) (float64, uint8) {
	most := float64(t.excites[band] * inverse[band])
	if most >= enough {
		return most, band
	}
	by := inverse[t.low:t.high]
	for i, x := range t.excites[t.low:t.high] {
		if y := float64(x * by[i]); y > most {
			most, band = y, uint8(t.low+i)
		}
	}
	return most, band
}

// wrong judges a note of wrong pitch twice beside all the rest: as if it were
// missing, and as if it were one too many. One that is only weighed is missing.
func (s *single) wrong(l *listener, y *loss, x *piece, at stretch, power float64) {
	if y.series == nil {
		y.series = s.fresh()
	}
	n := &l.notes[x.note]
	at.db = min(limit, decibels(1+n.tone.beside(power, &l.played)))
	y.series = y.series.put(at)
	if y.what != WrongPitch {
		return
	}
	ref := &l.Reference.Notes[x.note]
	played := l.tones[ref.Part].of(ref.Sounding + int(math.Floor(y.cents/100+0.5)))
	extra := 0.0
	for b := range l.played {
		rest := max(l.played[b]-float64(power*n.tone.excites[b]), theEar.noise[b])
		extra = max(extra, float64(power*played.excites[b])/rest)
	}
	at.db = min(limit, decibels(1+extra))
	y.other = y.other.put(at)
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

// beside is the largest of what a tone of some power excites over the rest of a row
// that it is part of.
func (t *tone) beside(power float64, all *row) float64 {
	num, den := 0.0, 1.0
	for b := t.low; b < t.high; b++ {
		mine := float64(power * t.excites[b])
		rest := max(all[b]-mine, theEar.noise[b])
		if float64(mine*den) > float64(num*rest) {
			num, den = mine, rest
			if num >= float64((most10-1)*den) {
				break
			}
		}
	}
	return num / den
}
