package whatif

import (
	"cmp"
	"context"
	"math"

	"choirloft/alloc/crew"
	"choirloft/alloc/study"
	"choirloft/alloc/study/hearing"
	"choirloft/routing/plan"
)

// Ear is what is heard of the song when it was played in some way, beside the song as
// it is given on the rig as it is given: whatever an override takes away counts too.
type Ear struct {
	hearing.Verdict
	Counted bool // the losses by themselves: Losses and Plainly
	// starts is what the missing starts lack to count at least as if they were missing
	// for half a second, in dB·s; where the losses were counted.
	starts float64
}

// silence is 2 where nothing is heard to be missing, 1 where nothing plainly is, else 0.
func (e *Ear) silence() int {
	switch {
	case e.Measure.Faint == 0:
		return 2
	case e.Measure.Plain == 0:
		return 1
	}
	return 0
}

// loud is how much is heard above 1 dB, in dB·s, as it may be compared with another.
func (e *Ear) loud(beside *Ear) float64 {
	if e.Counted && beside.Counted {
		return e.Loud + e.starts
	}
	return e.Loud
}

// told is the least difference of sums that is told apart, in dB·s.
const told = 0.1

// compare orders by what is heard: nothing, nothing plainly, then by dB·s.
func (e *Ear) compare(f *Ear) int {
	if c := cmp.Compare(f.silence(), e.silence()); c != 0 {
		return c
	}
	return cmp.Compare(math.Floor(e.loud(f)/told), math.Floor(f.loud(e)/told))
}

// fewer tells whether of what is heard less, fewer losses are plain, or as many and
// fewer heard; where both are as many, whether a tenth less is heard. Before the losses
// are counted nothing speaks against it.
func (e *Ear) fewer(before *Ear) bool {
	if !e.Counted || !before.Counted {
		return true
	}
	c := cmp.Or(cmp.Compare(e.Plainly, before.Plainly), cmp.Compare(e.Losses, before.Losses))
	return c < 0 || c == 0 && (e.silence() > before.silence() || float64(10*e.loud(before)) <= float64(9*before.loud(e)))
}

// tenths is how much is heard where anything is plain, in tenths of what is before:
// a little less does not go before what takes less effort.
func (e *Ear) tenths(before *Ear) int {
	if e.silence() > 0 || before.Loud < told {
		return 0
	}
	return int(10 * e.loud(before) / before.loud(e))
}

// original is what the song asks for as it is given; made when it is wanted first.
func (s *Session) original() (*plan.Given, error) {
	if s.asked == nil {
		given, err := s.plan.Given(s.song, s.ref)
		if err != nil {
			return nil, err
		}
		s.asked = given
	}
	return s.asked, nil
}

// listens tells whether anything can be heard of the song.
func (s *Session) listens() bool { return len(s.ref.Notes) > 0 && s.plan.InService() > 0 }

// ear says what is heard of runs that are played together, with each loss by itself
// or not.
func (s *Session) ear(each bool, runs ...hearing.Run) (*Ear, error) {
	given, err := s.original()
	if err != nil {
		return nil, err
	}
	as, err := given.Match(runs...)
	if err != nil {
		return nil, err
	}
	if !each {
		return &Ear{Verdict: hearing.Whole(given.Asked, as)}, nil
	}
	h := hearing.Count(given.Asked, as)
	e := &Ear{Verdict: h.Whole, Counted: true}
	for i := range h.Losses {
		e.starts += max(0, h.Losses[i].Rank-h.Losses[i].Loud)
	}
	return e, nil
}

// heardNow says what is heard as things are.
func (s *Session) heardNow(each bool) (*Ear, error) {
	return s.ear(each, hearing.Run{Rules: s.plan.Rules, Reference: s.ref, Outcomes: s.before.Outcomes, Cuts: s.before.Cuts})
}

// count judges the losses of fixes by themselves, those first that rank first, as
// far as the budget is enough; before that, those of how things are.
func (s *Session) count(ctx context.Context, l *List) error {
	if l.Heard == nil {
		return nil
	}
	if !l.Heard.Counted {
		if !s.Budget.Spend(s.countWork()) {
			s.cover("heard losses", 0, 1+len(l.Better)+len(l.Worse))
			return nil
		}
		heard, err := s.heardNow(true)
		if err != nil {
			return err
		}
		l.Heard = heard
	}
	var all []*Fix
	for _, list := range [...][]Fix{l.Better, l.Worse} {
		for i := range list {
			if f := &list[i]; f.Heard != nil && !f.Heard.Counted {
				all = append(all, f)
			}
		}
	}
	n := s.Budget.Prefix(len(all), func(i int) study.Work { return s.fixWork(all[i]) + s.countWork() })
	s.cover("heard losses", n, len(all))
	return crew.Do(ctx, n, func(context.Context) func(int) error {
		return func(i int) (err error) {
			all[i].Heard, err = s.countFix(all[i])
			return err
		}
	})
}

// countFix listens to a fix again.
func (s *Session) countFix(f *Fix) (*Ear, error) {
	if f.Passes > 0 {
		runs, err := s.passes(f.Passes)
		if err != nil {
			return nil, err
		}
		return s.ear(true, runs...)
	}
	_, run, _, err := s.perform(f.Overrides)
	if err != nil {
		return nil, err
	}
	return s.ear(true, run)
}
