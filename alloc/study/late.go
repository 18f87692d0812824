package study

import (
	"math"
)

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
	late := make([]Interval, 0, len(r.Notes))
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
		return damaged
	}
	return min(damaged, FewestDamaged(late, v/least))
}
