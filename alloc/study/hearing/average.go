package hearing

import (
	"math"
	"time"
)

// A difference is averaged over window, from half of it before an instant to half
// of it after: shorter ones are not told by the loudness that they leave, and a
// note 5 ms late is no plain loss.
const (
	window = 200 * time.Millisecond
	half   = window / 2
)

// limit is the largest difference, in dB: what is gone is gone.
const limit = 10.0

// stretch is a time with one difference.
type stretch struct {
	from, to time.Duration
	db       float64
	band     uint8
}

// series is a difference in time: stretches in order that do not meet, and 0
// between them.
type series []stretch

// put appends a stretch; one like the last goes on with it.
func (s series) put(x stretch) series {
	if x.db == 0 || x.from >= x.to {
		return s
	}
	if n := len(s); n > 0 && s[n-1].to == x.from && s[n-1].db == x.db {
		s[n-1].to = x.to
		return s
	}
	return append(s, x)
}

// Measure says how much is heard of a difference.
type Measure struct {
	Faint, Plain time.Duration // for how long it is at or above what the ear takes
	Worst        float64       // largest, in dB, 0.0–10.0 to 0.1; 10 stands for more too
	// Loud is what lies above 1 dB, in dB·s. Rankings go by it.
	Loud float64
}

// run is a time in which a difference is heard.
type run struct {
	from, to time.Duration
	db       float64 // at most
}

// judge is what an averaged difference is judged by.
type judge struct {
	Measure
	faint, plain float64
	first, last  time.Duration // when it is heard, if it is
	runs         []run
	keep         bool
	course       []float64 // the most in each step; nil where it is not kept
}

// rounding is what a value may lack to be printed, to 0.1 dB, as what is asked.
const rounding = 0.05

func (e Ear) judge(keep bool) judge {
	return judge{faint: e.Faint - rounding, plain: e.Plain - rounding, keep: keep}
}

// average goes through the average of a series.
func (j *judge) average(s series) {
	a := averaging{judge: j, queue: s, at: -half}
	for range 2 * len(s) {
		a.meet()
	}
	a.finish()
}

// averaging goes through the average of a series, which may be known only up to now: a
// line between the instants at which the window meets or leaves the edge of a
// stretch. What would lie before the song does not count.
type averaging struct {
	*judge
	queue     series // from the first that the window has not left; the last may still grow
	met, left int    // edges of the queue: twice the place, and 1 more for the end
	at        time.Duration
	v         float64 // the average then
	in, out   float64 // what the window meets, and leaves
}

// begin makes ready for another series.
func (a *averaging) begin(j *judge) { *a = averaging{judge: j, queue: a.queue[:0], at: -half} }

// put appends a stretch, as [series.put] does.
func (a *averaging) put(x stretch) {
	n := len(a.queue)
	if a.queue = a.queue.put(x); len(a.queue) == n {
		return
	}
	switch {
	case n == 0:
		a.meet()
	case a.queue[n-1].to == x.from: // the end of the one before, and this
		a.meet()
		a.in, a.met = x.db, a.met+1
	default:
		a.meet()
		a.meet()
	}
	if gone := a.left / 2; gone > 64 {
		a.queue = a.queue[:copy(a.queue, a.queue[gone:])]
		a.met, a.left = a.met-2*gone, a.left-2*gone
	}
}

// finish ends the series.
func (a *averaging) finish() {
	if a.met < 2*len(a.queue) {
		a.meet()
	}
	for a.left < a.met {
		a.leave()
	}
	a.Worst = round(a.Worst)
}

// meet lets the window meet the next edge.
func (a *averaging) meet() {
	at := a.queue.edge(a.met) - half
	for a.left < a.met && a.queue.edge(a.left)+half < at {
		a.leave()
	}
	a.reach(at)
	a.in, a.met = a.queue.after(a.met), a.met+1
}

// leave lets the window leave an edge.
func (a *averaging) leave() {
	a.reach(a.queue.edge(a.left) + half)
	a.out, a.left = a.queue.after(a.left), a.left+1
	if a.left%2 == 0 && a.left < a.met && a.queue[a.left/2].from == a.queue[a.left/2-1].to { // and begins another
		a.out, a.left = a.queue[a.left/2].db, a.left+1
	}
	if a.left == a.met {
		a.v = a.in // all of the window lies in one stretch, or in none
	}
}

// reach goes on to a time.
func (a *averaging) reach(t time.Duration) {
	to := a.v
	if a.in != a.out {
		to += float64((a.in - a.out) * (float64(t-a.at) * (1 / float64(window))))
	}
	a.line(a.at, t, a.v, to)
	a.v, a.at = to, t
}

// edge is when a stretch begins or ends.
func (s series) edge(i int) time.Duration {
	if i%2 == 0 {
		return s[i/2].from
	}
	return s[i/2].to
}

// after is the difference after an edge.
func (s series) after(i int) float64 {
	if i%2 == 0 {
		return s[i/2].db
	}
	return 0
}

// round returns a value to 0.1.
func round(db float64) float64 { return math.Floor(float64(db*10)+0.5) / 10 }

// line counts a straight piece of the average.
func (j *judge) line(from, to time.Duration, v, w float64) {
	if from < 0 && to > 0 {
		v, from = v+float64((w-v)*float64(-from))/float64(to-from), 0
	}
	if from < 0 || from >= to {
		return
	}
	j.Worst = max(j.Worst, v, w)
	if v < j.faint && w < j.faint {
		return
	}
	a, b := above(from, to, v, w, j.faint)
	if b > a {
		if j.Faint == 0 {
			j.first = a
		}
		j.Faint, j.last = j.Faint+b-a, b
		if j.keep {
			j.mark(a, b, max(v, w))
		}
		if j.course != nil {
			along := func(t time.Duration) float64 { return v + float64((w-v)*(float64(t-from)/float64(to-from))) }
			j.follow(a, b, along)
		}
	}
	a, b = above(from, to, v, w, j.plain)
	j.Plain += b - a
	j.Loud += over(float64(to-from)/1e9, v, w)
}

// above returns when a line is at or above a level.
func above(from, to time.Duration, v, w, level float64) (a, b time.Duration) {
	cross := func() time.Duration { return from + time.Duration(float64(to-from)*((level-v)/(w-v))) }
	switch {
	case v < level && w < level:
		return from, from
	case v < level:
		return cross(), to
	case w < level:
		return from, cross()
	}
	return from, to
}

// over integrates what a line has above 1 dB, in dB·s.
func over(dt, v, w float64) float64 {
	v, w = v-1, w-1
	switch {
	case v <= 0 && w <= 0:
		return 0
	case v < 0:
		return float64(w*w) * dt / (2 * (w - v))
	case w < 0:
		return float64(v*v) * dt / (2 * (v - w))
	}
	return float64((v+w)/2) * dt
}

// mark lengthens the last run, or begins one.
func (j *judge) mark(from, to time.Duration, db float64) {
	if n := len(j.runs); n > 0 && j.runs[n-1].to >= from-1 { // a crossing is rounded
		j.runs[n-1].to, j.runs[n-1].db = to, max(j.runs[n-1].db, db)
		return
	}
	j.runs = append(j.runs, run{from, to, db})
}

// Step is how long what a course says at once is.
const Step = 100 * time.Millisecond

// course is the average of a series step by step: the most in each, in dB to 0.1, and 0
// where nothing is heard. It ends with the last step in which something is.
func (e Ear) course(s series) []float64 {
	j := e.judge(false)
	j.course = []float64{}
	j.average(s)
	for i, db := range j.course {
		j.course[i] = round(db)
	}
	return j.course
}

// follow takes a straight piece of the average into a course.
func (j *judge) follow(from, to time.Duration, along func(time.Duration) float64) {
	for at := from; at < to; {
		step := int(at / Step)
		end := min(to, time.Duration(step+1)*Step)
		for len(j.course) <= step {
			j.course = append(j.course, 0)
		}
		j.course[step] = max(j.course[step], along(at), along(end))
		at = end
	}
}
