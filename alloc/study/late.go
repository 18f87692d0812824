package study

import "math"

// FewestDamaged returns how many notes of some parts v voices must damage
// whatever the rule: [FewestDamaged] of their reference intervals, one voice a
// note. Where a part waits for the voices of its unison that may be too many,
// since it is whole when it begins up to Rules.Overlap late: crowds as short as
// that can pass one after the other. So the bound is no more than what those
// intervals must damage without their first moments, on as many notes at once
// as the voices let sound. It cannot be beaten: whole notes sound in all that is
// left of theirs, each on as many voices as the least that a note here takes.
func (r *Reference) FewestDamaged(rules *Rules, part func(int) bool, v int) int {
	damaged := FewestDamaged(r.Gates(part), v)
	if late, least := r.lateGates(rules, part); late != nil {
		damaged = min(damaged, FewestDamaged(late, v/least))
	}
	return damaged
}

// lateGates returns the intervals in which notes of some parts must sound to be
// whole, and the least number of voices that one of them takes; nil where none
// waits.
func (r *Reference) lateGates(rules *Rules, part func(int) bool) (late []Interval, least int) {
	late = make([]Interval, 0, len(r.Notes))
	waits, least := false, math.MaxInt
	for i := range r.Notes {
		n := &r.Notes[i]
		if !part(n.Part) {
			continue
		}
		from, takes := n.Start, 1
		if all := rules.Config.Parts[n.Part].WaitsFor(); all > 0 {
			waits, from, takes = true, min(n.Start+rules.Overlap, n.End), all
		}
		late = append(late, Interval{from, n.End})
		least = min(least, takes)
	}
	if !waits {
		return nil, least
	}
	return late, least
}

// boundsOf returns the bounds by numbers of voices that all parts share. From the
// largest unison on the same notes wait for the same voices, so one sweep has
// them all.
func boundsOf(r Rules, ref *Reference) Curve {
	curve := Bounds(ref.Gates(everyPart))
	whole := unisonOf(r.Config)
	pooled := Pooled(r, whole)
	late, least := ref.lateGates(&pooled, everyPart)
	if late == nil {
		return curve
	}
	for v := range min(whole, len(curve)) {
		pooled := Pooled(r, v)
		curve[v].FewestDamaged = ref.FewestDamaged(&pooled, everyPart, v)
	}
	damaged := fewestDamaged(late, len(curve))
	for v := whole; v < len(curve); v++ {
		curve[v].FewestDamaged = min(curve[v].FewestDamaged, damaged[v/least])
	}
	return curve
}

// LeastWeight returns the least weight, of the same unit as that of the scores,
// that v voices must lose whatever the rule: that of [Sizing.Plans], and no more
// than what notes that may begin late must lose, as [Reference.FewestDamaged]
// has it. It is not known, and ok false, where a budget was not enough for the
// plan.
func (s *Sizing) LeastWeight(v int) (lost Weight, ok bool) {
	if v > s.planned && v < s.Demand.Pedal {
		return lost, false
	}
	lost = s.Plans.Lost(v)
	if s.late == nil {
		return lost, true
	}
	pooled := Pooled(s.rules, v)
	if late, least := s.Reference.lateGates(&pooled, everyPart); late != nil {
		lost = min(lost, s.late.Lost(v/least))
	}
	return lost, true
}
