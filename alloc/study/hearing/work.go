package hearing

import (
	"errors"
	"time"

	"choirloft/alloc/study"
)

// ErrBudget says that the budget was not enough for what was asked.
var ErrBudget = errors.New("the budget is not enough to listen")

// Work is what it takes at most to listen to the song once: in each step of time
// there is a row for every rate of the envelopes.
func (a *Asked) Work() study.Work { return a.stepsWork(a.lasts()) + study.Work(len(a.notes)) }

// lasts is how long something of the song can sound.
func (a *Asked) lasts() time.Duration {
	last := a.Reference.End
	for i := range a.notes {
		last = max(last, a.notes[i].until())
	}
	return last
}

// until is when a tail has fallen by 120 dB, below what can be heard.
func (c *contour) until() time.Duration { return min(c.stop, c.low+min(2*c.Release, never-c.low)) }

// stepsWork is what steps of a time take.
func (a *Asked) stepsWork(d time.Duration) study.Work {
	return study.Work(d/step) * study.Work(4+len(a.rates)) / 8
}

// EachWork is what [Hear] takes at most: both passes, and the time that each loss
// lasts.
func (a *Asked) EachWork(p Played) study.Work {
	l := a.listener(p, false)
	l.each = true
	l.gather(p)
	return a.eachWork(l)
}

// eachWork is that for one who has gathered.
func (a *Asked) eachWork(l *listener) study.Work {
	w := 3 * a.Work()
	for i := range l.pieces {
		x := &l.pieces[i]
		w += 1 + a.stepsWork(max(0, min(x.to, x.until())-x.from))/2
	}
	return w
}
