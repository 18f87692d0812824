package study

import (
	"cmp"
	"math"
	"slices"
	"time"
)

// Shortage is a span of time in which more voices are wanted than there are.
type Shortage struct {
	Interval
	Wanted int // at most
}

// Shortages returns the spans in which more than v of the intervals sound, in
// the order of time. v below 0 counts as 0.
func Shortages(intervals []Interval, v int) []Shortage {
	v = max(0, v)
	starts, ends := startsAndEnds(intervals)
	var list []Shortage
	depth := 0
	for s, e := 0, 0; e < len(ends); {
		if s == len(starts) || ends[e] <= starts[s] {
			if depth == v+1 {
				list[len(list)-1].End = ends[e]
			}
			depth, e = depth-1, e+1
			continue
		}
		depth++
		switch {
		case depth <= v:
			// there are enough
		case depth > v+1:
			list[len(list)-1].Wanted = max(list[len(list)-1].Wanted, depth)
		case len(list) > 0 && list[len(list)-1].End == starts[s]:
			// it goes on without a pause
		default:
			list = append(list, Shortage{Interval{Start: starts[s]}, depth})
		}
		s++
	}
	return list
}

// Short returns when more voices are wanted than v: for the keys and pedals,
// or with the tails that can be heard.
func (s *Sizing) Short(v int, tails bool) []Shortage {
	if tails {
		return Shortages(s.audible, v)
	}
	return Shortages(s.gates, v)
}

// From returns the smallest number of voices from which on every number that was
// played passes; ok is false if the last does not. Rules can do worse with more
// voices, so one number that passes is not enough.
func (s *Sizing) From(passes func(*SizePoint) bool) (voices int, ok bool) {
	for i := len(s.Points) - 1; i >= 0; i-- {
		if !passes(&s.Points[i]) {
			break
		}
		voices, ok = s.Points[i].Voices, true
	}
	return voices, ok
}

// Faint is a level, in dB, at which the cut of a tail is seldom noticed in a
// mix: common practice, and no more than that.
const Faint = -25.0

// Harmless says from how many voices on, as far as the curve goes, the rules that
// the parts have do no harm of a kind; 0 where not even the last number does.
type Harmless struct {
	Undamaged int     // no note is damaged
	Quiet     int     // nor is a tail cut louder than Faint
	Loudest   float64 // cut from Quiet on, in dB; −Inf where there is none
	Untouched int     // nor is any tail cut audibly
}

// Harmless reads the thresholds off the curve.
func (s *Sizing) Harmless() Harmless {
	h := Harmless{Loudest: math.Inf(-1)}
	h.Undamaged, _ = s.From(undamaged)
	h.Quiet, _ = s.From(func(at *SizePoint) bool { return at.Own.Damaged() == 0 && at.Own.Loudest() <= Faint })
	h.Untouched, _ = s.From(untouched)
	for i := range s.Points {
		if at := &s.Points[i]; h.Quiet > 0 && at.Voices >= h.Quiet {
			h.Loudest = max(h.Loudest, at.Own.Loudest())
		}
	}
	return h
}

func undamaged(at *SizePoint) bool { return at.Own.Damaged() == 0 }

func untouched(at *SizePoint) bool { return at.Own.Damaged() == 0 && at.Own.TailCuts() == 0 }

// TooFew is the largest number of voices up to the end of the curve on which
// every rule must damage a note; 0 where there is none.
func (s *Sizing) TooFew() int {
	v := s.Last
	for v > 0 && s.Bounds.At(v).FewestDamaged == 0 {
		v--
	}
	return v
}

// Share returns a time as a share of the song, at most 1: tails may go on after
// its end.
func (s *Sizing) Share(d time.Duration) float64 {
	if s.Reference.End <= 0 {
		return 0
	}
	return min(1, float64(d)/float64(s.Reference.End))
}

// NoteAt returns the first note that starts at a time; nil if none does.
func (s *Sizing) NoteAt(t time.Duration) *Note {
	notes := s.Reference.Notes // in the order of their starts
	i, ok := slices.BinarySearchFunc(notes, t, func(n Note, t time.Duration) int { return cmp.Compare(n.Start, t) })
	if !ok {
		return nil
	}
	return &notes[i]
}
