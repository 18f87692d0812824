package advise

import (
	"time"

	"choirloft/alloc/study"
	"choirloft/routing/whatif"
)

// Figures are what is left of songs that were played in some way, beside the songs as
// given. The smaller the better.
type Figures struct {
	Heard        float64       // what is heard to be missing, in dB·s above 1 dB
	Plain, Faint time.Duration // for how long it is heard plainly, and at all
	Dropped, Cut int
	Lost, Late   time.Duration
	Wrong        int // notes at the wrong pitch
	Moved        int // notes that are whole octaves away, with all of their part
}

// add adds what became of a song.
func (f *Figures) add(t *whatif.Trial) {
	s := &t.Changed
	f.Heard += t.Heard.Loud
	f.Plain += t.Heard.Plain
	f.Faint += t.Heard.Measure.Faint
	f.Dropped += s.Endings[study.Dropped]
	f.Cut += s.Damaged() - s.Endings[study.Dropped]
	f.Lost += s.Lost
	f.Late += t.Late
	f.Wrong += t.After.Missed
	f.Moved += t.Moved
}

// What counts as the same: so much of dB·s, and of times.
const (
	sameHeard = 0.1
	sameTime  = 10 * time.Millisecond
)

// Same tells whether two are told apart by nothing.
func (f *Figures) Same(g *Figures) bool {
	return abs(f.Heard-g.Heard) <= sameHeard && f.Dropped == g.Dropped && f.Cut == g.Cut && f.Wrong == g.Wrong && f.Moved == g.Moved &&
		abs(f.Lost-g.Lost) <= sameTime && abs(f.Late-g.Late) <= sameTime
}

func abs[T float64 | time.Duration](v T) T { return max(v, -v) }

// noWorse tells whether nothing of it is larger.
func (f *Figures) noWorse(g *Figures) bool {
	return f.Heard <= g.Heard && f.Dropped <= g.Dropped && f.Cut <= g.Cut && f.Wrong <= g.Wrong && f.Moved <= g.Moved && f.Lost <= g.Lost && f.Late <= g.Late
}

// beats tells whether nothing of it is larger, and something smaller.
func (f *Figures) beats(g *Figures) bool { return f.noWorse(g) && !g.noWorse(f) }

// Clean tells whether nothing is lost and nothing is heard.
func (f *Figures) Clean() bool {
	return f.Heard == 0 && f.Faint == 0 && f.Dropped+f.Cut == 0 && f.Lost == 0
}

// mends tells whether more notes are at the right pitch than the right ones that were moved
// away with their part, and nothing else is larger.
func (f *Figures) mends(now *Figures) bool {
	still := *f
	still.Moved = now.Moved
	put := now.Wrong - f.Wrong
	return put > 0 && still.noWorse(now) && put > f.Moved-now.Moved-put
}

// Figure is one of the figures.
type Figure uint8

// The figures that can be worse with a fix than without.
const (
	Heard Figure = iota // dB·s
	Dropped
	Cut
	Lost // seconds
	Wrong
	Late // seconds
	Moved
	Longer // seconds in which something is heard to be missing, though less in all
)

// Price is a figure that is worse with a fix than without any, and by how much.
type Price struct {
	What Figure
	By   float64
}

// What makes a figure worse: so much of what is heard, of what is lost, and of lateness in
// all, of which some comes with every note that plays and did not before; what is heard of
// it is heard.
const (
	dearHeard = sameHeard
	dearTime  = 50 * time.Millisecond
	dearLate  = time.Second
	dearFaint = time.Second // and a twentieth of what there is now
)

// prices lists what is worse than now.
func (f *Figures) prices(now *Figures) (list []Price) {
	add := func(what Figure, by float64, over bool) {
		if over {
			list = append(list, Price{what, by})
		}
	}
	heard, lost, late := f.Heard-now.Heard, f.Lost-now.Lost, f.Late-now.Late
	add(Heard, heard, heard > dearHeard)
	add(Dropped, float64(f.Dropped-now.Dropped), f.Dropped > now.Dropped)
	add(Cut, float64(f.Cut-now.Cut), f.Cut > now.Cut)
	add(Lost, lost.Seconds(), lost > dearTime)
	add(Wrong, float64(f.Wrong-now.Wrong), f.Wrong > now.Wrong)
	add(Late, late.Seconds(), late > dearLate)
	add(Moved, float64(f.Moved-now.Moved), f.Moved > now.Moved)
	longer := f.Faint - now.Faint
	add(Longer, longer.Seconds(), heard <= dearHeard && longer > max(dearFaint, now.Faint/20))
	return list
}

// What a figure weighs while the search goes on, in dB·s: a note that is lost, a second
// of it, and what is worse than now besides. A rule of searching: lists go by the figures.
const (
	perNote   = 0.5
	perMoved  = 0.1 // of a note that is octaves away with its part: five of these are as one at the wrong pitch
	perSecond = 0.5
	perExtra  = 5 // for each note, or second
)

// toll is what the search makes small.
func (f *Figures) toll(now *Figures) float64 {
	toll := f.Heard + float64(perNote*float64(f.Dropped+f.Cut+f.Wrong)) + float64(perSecond*(f.Lost+f.Late).Seconds()) + float64(perMoved*float64(f.Moved))
	for _, p := range f.prices(now) {
		if p.What != Moved && p.What != Longer {
			toll += float64(perExtra * p.By)
		}
	}
	return toll
}
