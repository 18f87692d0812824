package whatif

import (
	"slices"

	"choirloft/alloc"
	"choirloft/alloc/study"
	"choirloft/routing/plan"
)

// draftWork is what it takes to make a plan, for each voice of the rig.
const draftWork = 32

// playWork is what it takes to play the song with overrides: a plan and a run, where it edits the
// song a reference besides, and where it looks ahead by weight a plan of what to
// keep.
func (s *Session) playWork(o plan.Overrides) study.Work {
	voices := len(s.plan.Rig.Voices)
	w := study.RunWork(s.given, (draftWork+1)*voices)
	if asksAnew(o) {
		w += study.RunWork(s.given, 0)
	}
	if short := func(v plan.For[plan.Sooner]) bool { return v.Value.WhenShort }; slices.ContainsFunc(slices.Concat(o.Trim, o.Lift, o.Shorten), short) {
		w += study.RunWork(s.given, 0) // to see where they are
	}
	if slices.ContainsFunc(o.Steal, func(v plan.For[alloc.StealRule]) bool { return v.Value == alloc.StealLeastAudible }) {
		w += s.ref.PlanWork(s.before.Rig.Voices)
	}
	return w
}

// listenWork is what it takes to listen to the song with overrides; 0 where
// nothing can be heard. A song that is played otherwise than asked differs all over.
func (s *Session) listenWork(o plan.Overrides) study.Work {
	given, err := s.original()
	if err != nil || !s.listens() {
		return 0
	}
	if o.EditsSong() || o.Splits() || len(o.Release)+len(o.Unison) > 0 {
		return 2 * given.Work()
	}
	return given.Work()
}

// nowWork is what it takes to judge the losses by themselves as things are.
func (s *Session) nowWork() study.Work {
	given, err := s.original()
	if err != nil {
		return 0
	}
	as, err := given.Match(s.now())
	if err != nil {
		return 0
	}
	return given.EachWork(as)
}

// countWork is what it takes to judge the losses of a fix by themselves, which are taken
// to be no more than those as things are.
func (s *Session) countWork() study.Work {
	given, err := s.original()
	if err != nil {
		return 0
	}
	if s.nowCosts == 0 {
		s.nowCosts = max(6*given.Work(), s.nowWork())
	}
	return s.nowCosts
}

// splitWork is what it takes to find the fewest recordings: sharing the notes out,
// with a look at those that sound for each, and playing all of them twice.
func (s *Session) splitWork(passes int) study.Work {
	peak := s.before.Rig.Demand.Pedal
	return study.Work(len(s.ref.Notes))*study.Work(peak)/16 + 4*study.RunWork(s.given, passes*len(s.plan.Rig.Voices))
}
