package whatif

import (
	"slices"

	"choirloft/alloc"
	"choirloft/alloc/study"
	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing/plan"
	"choirloft/routing/setups"
)

// InSetUp is a rig as one of its set-ups patches it: a song that the interfaces play has the
// voices alone that they reach.
type InSetUp struct {
	SetUp  int   // index into Rig.SetUps
	Dealt  []int // voices in service that the interfaces play, each by itself
	Ranked []int // banks that a sequencer plays, each as one voice
	Silent []int // voices in service that nothing plays
	Cables int   // that are plugged
	// Without are the voices that the interfaces do not play and that are not out, by name.
	Without []string
	// Plan is the rig without them; nil where no voice is left in service.
	Plan *plan.Plan
}

// NewSetUps is the rig in each of its set-ups, changed by overrides. Which voices these take
// out is left aside, since it is a set-up that says which are played. Errors are
// *[plan.OverrideError].
func NewSetUps(rig *profiles.Rig, o plan.Overrides) (all []*InSetUp, err error) {
	o.Without = nil
	p, err := plan.Build(rig, o)
	if err != nil {
		return nil, err
	}
	for at := range p.Rig.SetUps {
		x := newInSetUp(p, at)
		changed := o
		changed.Without = x.Without
		if x.Plan, err = plan.Build(rig, changed); err != nil {
			return nil, err
		}
		for i, v := range x.Plan.Rules.Config.Voices { // one that another led plays by itself once that is out
			if v.State.InService() {
				x.Dealt = append(x.Dealt, i)
			}
		}
		if len(x.Dealt) == 0 {
			x.Plan = nil
		}
		all = append(all, x)
	}
	return all, nil
}

// newInSetUp sorts the voices of a plan by who plays them in a set-up.
func newInSetUp(p *plan.Plan, at int) *InSetUp {
	patch := setups.New(p.Map, at)
	cables, _ := setups.Label(patch, patch)
	x := &InSetUp{SetUp: at, Cables: len(cables)}
	for _, part := range p.Rig.SetUps[at].Parts {
		x.Ranked = append(x.Ranked, part.Banks...)
	}
	for i, v := range p.Rules.Config.Voices {
		bank := p.Rig.Voices[i].Bank
		if v.State == alloc.Out {
			continue
		}
		switch plays := patch.Plays(i); {
		case plays && !slices.Contains(x.Ranked, bank):
			continue
		case !plays && v.State.InService():
			x.Silent = append(x.Silent, i)
		}
		x.Without = append(x.Without, p.Rig.Voices[i].Name)
	}
	return x
}

// Play plays a song on the voices of the set-up. There must be a plan.
func (x *InSetUp) Play(song *midi.Song) (*Played, error) {
	replay, err := x.Plan.Replay(song)
	if err != nil {
		return nil, err
	}
	heard, err := x.Plan.Losses(song, replay, study.NewBudget(plan.Listening))
	return &Played{replay, heard}, err
}
