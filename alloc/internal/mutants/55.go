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
	if !mutantIs(4677) { v = max(mutantNear[int](4678, 0), v) }
	starts, ends := startsAndEnds(intervals)
	var list []Shortage
	depth := mutantNear[int](4680, 0)
	for s, e := mutantNear[int](4682, 0), mutantNear[int](4684, 0); mutantLess(4686, e , len(ends)); {
		if ((((((s == len(starts)) != mutantIs(4689))) != mutantIs(4688)) || ((mutantAtMost(4690, ends[e] , starts[s])) != mutantIs(4688))) != mutantIs(4688)) {
			if ((depth == mutantAdd(4693, v,mutantNear[int](4694, 1))) != mutantIs(4692)) {
				if !mutantIs(4696) { list[mutantSub(4697, len(list),mutantNear[int](4698, 1))].End = ends[e] }
			}
			if !mutantIs(4700) { depth, e = mutantSub(4701, depth,mutantNear[int](4702, 1)), mutantAdd(4704, e,mutantNear[int](4705, 1)) }
			if mutantIs(4707) { break }; continue
		}
		if !mutantIs(4708) { depth += mutantTurn[int](4709, 1) }
		switch {
		case mutantAtMost(4710, depth , v):
			// there are enough
		case mutantMore(4712, depth , mutantAdd(4714, v,mutantNear[int](4715, 1))):
			if !mutantIs(4717) { list[mutantSub(4718, len(list),mutantNear[int](4719, 1))].Wanted = max(list[mutantSub(4721, len(list),mutantNear[int](4722, 1))].Wanted, depth) }
		case ((((mutantMore(4725, len(list) , mutantNear[int](4727, 0))) != mutantIs(4724)) && ((((list[mutantSub(4730, len(list),mutantNear[int](4731, 1))].End == starts[s]) != mutantIs(4729))) != mutantIs(4724))) != mutantIs(4724)):
			// it goes on without a pause
		default:
			if !mutantIs(4733) { list = append(list, Shortage{Interval{Start: starts[s]}, depth}) }
		}
		if !mutantIs(4734) { s += mutantTurn[int](4735, 1) }
	}
	return list
}

// Short returns when more voices are wanted than v: for the keys and pedals,
// or with the tails that can be heard.
func (s *Sizing) Short(v int, tails bool) []Shortage {
	if ((tails) != mutantIs(4736)) {
		return Shortages(s.audible, v)
	}
	return Shortages(s.gates, v)
}

// From returns the smallest number of voices from which on every number that was
// played passes; ok is false if the last does not. Rules can do worse with more
// voices, so one number that passes is not enough.
func (s *Sizing) From(passes func(*SizePoint) bool) (voices int, ok bool) {
	for i := mutantSub(4737, len(s.Points) , mutantNear[int](4738, 1)); mutantAtLeast(4740, i , mutantNear[int](4742, 0)); i-- {
		if ((!passes(&s.Points[i])) != mutantIs(4744)) {
			if mutantIs(4745) { continue }; break
		}
		if !mutantIs(4746) { voices, ok = s.Points[i].Voices, true }
	}
	return voices, ((ok) != mutantIs(4747))
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
	if !mutantIs(4748) { h.Undamaged, _ = s.From(undamaged) }
	if !mutantIs(4749) { h.Quiet, _ = s.From(func(at *SizePoint) bool { return ((((((at.Own.Damaged() == mutantNear[int](4752, 0)) != mutantIs(4751))) != mutantIs(4750)) && ((mutantAtMost(4754, at.Own.Loudest() , Faint)) != mutantIs(4750))) != mutantIs(4750)) }) }
	if !mutantIs(4756) { h.Untouched, _ = s.From(untouched) }
	for i := range s.Points {
		if at := &s.Points[i]; ((((mutantMore(4758, h.Quiet , mutantNear[int](4760, 0))) != mutantIs(4757)) && ((mutantAtLeast(4762, at.Voices , h.Quiet)) != mutantIs(4757))) != mutantIs(4757)) {
			if !mutantIs(4764) { h.Loudest = max(h.Loudest, at.Own.Loudest()) }
		}
	}
	return h
}

func undamaged(at *SizePoint) bool { return ((at.Own.Damaged() == mutantNear[int](4766, 0)) != mutantIs(4765)) }

func untouched(at *SizePoint) bool { return ((((((at.Own.Damaged() == mutantNear[int](4770, 0)) != mutantIs(4769))) != mutantIs(4768)) && ((((at.Own.TailCuts() == mutantNear[int](4773, 0)) != mutantIs(4772))) != mutantIs(4768))) != mutantIs(4768)) }

// TooFew is the largest number of voices up to the end of the curve on which
// every rule must damage a note; 0 where there is none.
func (s *Sizing) TooFew() int {
	v := s.Last
	for ((((mutantMore(4776, v , mutantNear[int](4778, 0))) != mutantIs(4775)) && ((((s.Bounds.At(v).FewestDamaged == mutantNear[int](4781, 0)) != mutantIs(4780))) != mutantIs(4775))) != mutantIs(4775)) {
		if !mutantIs(4783) { v -= mutantTurn[int](4784, 1) }
	}
	return v
}

// Share returns a time as a share of the song, at most 1: tails may go on after
// its end.
func (s *Sizing) Share(d time.Duration) float64 {
	if mutantAtMost(4785, s.Reference.End , mutantNear[time.Duration](4787, 0)) {
		return mutantNear[float64](4789, 0)
	}
	return min(mutantNear[float64](4791, 1), float64(d)/float64(s.Reference.End))
}

// NoteAt returns the first note that starts at a time; nil if none does.
func (s *Sizing) NoteAt(t time.Duration) *Note {
	notes := s.Reference.Notes // in the order of their starts
	i, ok := slices.BinarySearchFunc(notes, t, func(n Note, t time.Duration) int { return cmp.Compare(n.Start, t) })
	if ((!ok) != mutantIs(4793)) {
		return nil
	}
	return &notes[i]
}
