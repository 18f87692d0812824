package whatif

import (
	"slices"

	"choirloft/routing/plan"
)

// More makes it so many voices in service more, or fewer; ok is false where how many there
// are is being tried out in another way.
func (s *Session) More(n int) (o plan.Overrides, ok bool) {
	if s.grows() {
		return o, false
	}
	n += s.before.Rig.Voices
	all := s.inService()
	if n < all || len(s.base.Voices) > 0 {
		o.Voices = plan.All(n)
	}
	if n > all {
		o.More = plan.All(n - all)
	}
	return o, true
}

// Buy buys banks like one of the rig; ok is as with More, and false where the run leaves
// out voices that there are.
func (s *Session) Buy(like string, banks int) (o plan.Overrides, ok bool) {
	o.Buy = plan.All(plan.Buy{Banks: banks, Like: like})
	return o, !s.grows() && len(s.base.Voices) == 0
}

// LeftOut is how many voices the run leaves out of those that there are for every part.
func (s *Session) LeftOut() int {
	if s.grows() || len(s.base.Voices) == 0 {
		return 0
	}
	return s.inService() - s.before.Rig.Voices
}

// grows tells whether the run says of a part alone how many voices it has, or adds some.
func (s *Session) grows() bool {
	aimed := slices.ContainsFunc(s.base.Voices, func(v plan.For[int]) bool { return v.Part != "" })
	return aimed || len(s.base.More)+len(s.base.Buy) > 0
}

// inService are the voices in service, but for those that overrides take out by number.
func (s *Session) inService() (all int) {
	for i := range s.plan.Rig.Banks {
		all += s.plan.Rig.InService(i)
	}
	return all
}
