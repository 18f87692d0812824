package whatif

import (
	"slices"

	"choirloft/routing/plan"
)

// More makes it so many voices in service more, or fewer; ok is false where how many there
// are is being tried out in another way.
func (s *Session) More(n int) (o plan.Overrides, ok bool) {
	aimed := slices.ContainsFunc(s.base.Voices, func(v plan.For[int]) bool { return v.Part != "" })
	if aimed || len(s.base.More) > 0 {
		return o, false
	}
	n += s.before.Rig.Voices
	all := 0 // in service, but for those that overrides take out
	for i := range s.plan.Rig.Banks {
		all += s.plan.Rig.InService(i)
	}
	if n < all || len(s.base.Voices) > 0 {
		o.Voices = plan.All(n)
	}
	if n > all {
		o.More = plan.All(n - all)
	}
	return o, true
}
