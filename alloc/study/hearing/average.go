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
}

// rounding is what a value may lack to be printed, to 0.1 dB, as what is asked.
const rounding = 0.05

func (e Ear) judge(keep bool) judge {
	return judge{faint: e.Faint - rounding, plain: e.Plain - rounding, keep: keep}
}

// average goes through the average of a series: it is a line between the instants
// at which the window meets or leaves a stretch. What would lie before the song
// does not count.
func (j *judge) average(s series) {
	head, tail := edges{series: s}, edges{series: s}
	v, at := 0.0, -half
	for !tail.over() {
		next, passes := tail.next()+half, &tail
		if !head.over() && head.next()-half <= next {
			next, passes = head.next()-half, &head
		}
		to := v + float64((head.db-tail.db)*seconds(next-at))/seconds(window)
		j.line(at, next, v, to)
		v, at = to, next
		if passes.pass(); head.at == tail.at {
			v = head.db // all of the window lies in one stretch, or in none
		}
	}
	j.Worst = round(j.Worst)
}

// round returns a value to 0.1.
func round(db float64) float64 { return math.Floor(float64(db*10)+0.5) / 10 }

// edges goes through the starts and ends of stretches.
type edges struct {
	series
	at int     // twice the place, and 1 more for the end
	db float64 // after the last edge
}

func (e *edges) over() bool { return e.at >= 2*len(e.series) }

func (e *edges) next() time.Duration {
	x := &e.series[e.at/2]
	if e.at%2 == 0 {
		return x.from
	}
	return x.to
}

func (e *edges) pass() {
	if e.db = 0; e.at%2 == 0 {
		e.db = e.series[e.at/2].db
	}
	e.at++
}

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
