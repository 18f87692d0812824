package whatif

import (
	"choirloft/alloc/study/hearing"
	"choirloft/routing/plan"
)

// Ear is what is heard of the song when it was played in some way, beside the song as
// it is given on the rig as it is given: whatever an override takes away counts too.
type Ear struct {
	hearing.Verdict
	Counted bool // the losses by themselves: Losses and Plainly
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
	return &Ear{Verdict: hearing.Count(given.Asked, as).Whole, Counted: true}, nil
}

// heardNow says what is heard as things are.
func (s *Session) heardNow(each bool) (*Ear, error) { return s.ear(each, s.now()) }

// now is the song as it is played.
func (s *Session) now() hearing.Run {
	return hearing.Run{Rules: s.plan.Rules, Reference: s.ref, Outcomes: s.before.Outcomes, Cuts: s.before.Cuts, Origin: s.plan.Origin}
}
