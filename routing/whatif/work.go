package whatif

import (
	"cmp"
	"slices"

	"choirloft/alloc"
	"choirloft/alloc/study"
	"choirloft/routing/plan"
)

// draftWork is what it takes to make a plan, for each voice of the rig.
const draftWork = 32

// fixWork is what it takes to try a remedy: a plan and a run, where it edits the
// song a reference besides, and where it looks ahead by weight a plan of what to
// keep.
func (s *Session) fixWork(f *Fix) study.Work {
	voices := len(s.plan.Rig.Voices)
	w := study.RunWork(s.given, (draftWork+1)*voices)
	if f.Overrides.EditsSong() || len(f.Overrides.SameKey) > 0 {
		w += study.RunWork(s.given, 0)
	}
	if slices.ContainsFunc(f.Overrides.Steal, func(v plan.For[alloc.StealRule]) bool { return v.Value == alloc.StealLeastAudible }) {
		w += s.ref.PlanWork(s.before.Rig.Voices)
	}
	return w
}

// FixesWork is what it takes to try every remedy and to listen to each.
func (s *Session) FixesWork() study.Work {
	fixes := s.candidates()
	return s.playWork(fixes) + s.listenWork(fixes)
}

func (s *Session) playWork(fixes []Fix) (w study.Work) {
	for i := range fixes {
		w += s.fixWork(&fixes[i])
	}
	return w
}

// listenWork is what it takes to listen to fixes, and to how things are; 0 where
// nothing can be heard. A song that is played otherwise than asked differs all over.
func (s *Session) listenWork(fixes []Fix) study.Work {
	given, err := s.original()
	if err != nil || !s.listens() {
		return 0
	}
	one := given.Work()
	w := one
	for i := range fixes {
		if o := &fixes[i].Overrides; o.EditsSong() || len(o.Release)+len(o.Unison) > 0 {
			w += one
		}
		w += one
	}
	return w
}

// countWork is what it takes to judge the losses of a fix by themselves.
func (s *Session) countWork() study.Work {
	given, err := s.original()
	if err != nil {
		return 0
	}
	return 6 * given.Work()
}

// affordable are as many of the first as the budget is enough for.
func (s *Session) affordable(what string, fixes []Fix) []Fix {
	n := s.Budget.Prefix(len(fixes), func(i int) study.Work { return s.fixWork(&fixes[i]) })
	s.cover(what, n, len(fixes))
	return fixes[:n]
}

// splitWork is what it takes to find the fewest recordings: sharing the notes out,
// with a look at those that sound for each, and playing all of them twice.
func (s *Session) splitWork(passes int) study.Work {
	peak := s.before.Rig.Demand.Pedal
	return study.Work(len(s.ref.Notes))*study.Work(peak)/16 + 4*study.RunWork(s.given, passes*len(s.plan.Rig.Voices))
}

// promise orders kinds of remedies by how much they are wont to save.
var promise = []Kind{Steal, Tails, Release, Voices, Reserve, Banks, Pick, Unison, Lift, Trim, Doubles}

// promising orders remedies where not all can be tried: by their kind, and of one
// kind what is aimed at the part that loses most.
func (s *Session) promising(a, b Fix) int {
	lost := func(f *Fix) int {
		if f.Part < 0 {
			return s.before.Rig.Tally.Damaged()
		}
		return s.before.Parts[f.Part].Tally.Damaged()
	}
	return cmp.Or(cmp.Compare(slices.Index(promise, a.Kinds[0]), slices.Index(promise, b.Kinds[0])), cmp.Compare(lost(&b), lost(&a)))
}
