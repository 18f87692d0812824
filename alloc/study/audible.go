package study

import (
	"fmt"
	"slices"
	"sync"

	"choirloft/alloc"
)

// PooledPlans returns the plans for every number of voices where all parts of
// a rig play on identical ones, as [Size] has it. Their [Plans.Lost] is the
// least-audible bound: the weight, by [Weights], that no rule on v voices can
// help losing, one voice a note. The reference is one of the rules or of
// [Pooled] ones.
func PooledPlans(r Rules, ref *Reference) *Plans {
	plans := ref.ears.of(PooledAsAsked(r).Config, ref).plans
	if len(plans) == 0 {
		return NewPlans(nil, nil) // a rig without parts
	}
	return plans[0]
}

// AudibleBound returns the least weight, by [Weights], that a rig loses whatever
// the rule, one voice a note, on its voices in service: the sum over the groups
// of parts that share voices. Where parts are limited to some of a group's
// banks it is a relaxation, as the other bounds are.
func AudibleBound(r Rules, ref *Reference) Weight {
	var lost Weight
	h := ref.ears.of(r.Config, ref)
	for i, g := range groups(r.Config) {
		lost += h.plans[i].Lost(len(serving(r.Config, g.banks)))
	}
	return lost
}

// AudibleLoss returns what the damaged notes of a replay weigh, by [Weights].
func (r *Replay) AudibleLoss(weights []Weight) Weight {
	var lost Weight
	for i := range r.Outcomes {
		if r.Outcomes[i].Ending.Damaged() {
			lost += weights[i]
		}
	}
	return lost
}

// ears remember what was weighed and planned for a reference, which costs more
// than a replay and is the same for many.
type ears struct {
	mutex sync.Mutex
	heard map[string]*hearing
	given []Weight // in place of those of weightsOf; nil where there are none
}

// hearing is what hangs on how parts share voices, and on their priorities,
// but not on how many voices there are.
type hearing struct {
	weights []Weight
	plans   []*Plans // by group
}

// of returns the hearing for the parts of a rig.
func (e *ears) of(cfg alloc.Config, ref *Reference) *hearing {
	all := groups(cfg)
	var like []any
	for _, g := range all {
		like = append(like, g.parts)
	}
	for _, p := range cfg.Parts {
		like = append(like, p.Priority)
	}
	key := fmt.Sprint(like)
	e.mutex.Lock()
	defer e.mutex.Unlock()
	if h := e.heard[key]; h != nil {
		return h
	}
	h := &hearing{weights: e.given}
	if h.weights == nil {
		h.weights = weightsOf(cfg, ref)
	}
	for _, g := range all {
		h.plans = append(h.plans, g.plansFor(ref, h.weights))
	}
	if e.heard == nil {
		e.heard = map[string]*hearing{}
	}
	e.heard[key] = h
	return h
}

// SetWeights lets notes weigh what a caller says, by alloc.NoteID, in place of what
// [Weights] describes: for the rule least-audible, its plans and its bounds. It must
// be called before anything is played by the reference.
func (ref *Reference) SetWeights(weights []Weight) {
	ref.ears.mutex.Lock()
	defer ref.ears.mutex.Unlock()
	ref.ears.given, ref.ears.heard = weights, nil
}

// plansFor returns those of a group. Notes of other groups have no length in it.
func (g *group) plansFor(ref *Reference, weights []Weight) *Plans {
	gates := make([]Interval, len(ref.Notes))
	for i := range ref.Notes {
		if n := &ref.Notes[i]; g.has(n.Part) {
			gates[i] = Interval{n.Start, n.End}
		}
	}
	return NewPlans(gates, weights)
}

// worth says for the rule least-audible what to keep: the higher the worth, the
// rather. What the plan for the voices in service gives up goes before what it
// keeps, and of either the lighter before the heavier: so a note that is lost
// anyway sounds the longer the heavier it is, and where the plan does not
// suffice, for tails, unisons or reserves, the lightest go.
//
// Where nothing but notes wants voices the replay loses what the plan loses.
// What the plan keeps is nowhere more than the voices there are; so when one
// voice too few is free, what sounds and the newcomer are one more than that,
// and one of them is given up in the plan too. What is kept is never taken.
func (ref *Reference) worth(cfg alloc.Config) []int64 {
	h := ref.ears.of(cfg, ref)
	worth := make([]int64, len(ref.Notes))
	for i, g := range groups(cfg) {
		plan := h.plans[i].with(len(serving(cfg, g.banks)))
		for n := range ref.Notes {
			if !g.has(ref.Notes[n].Part) {
				continue
			}
			worth[n] = int64(h.weights[n])
			if !plan.keeps(n) {
				worth[n] -= heaviest
			}
		}
	}
	return worth
}

// heaviest is more than any note weighs.
const heaviest = int64(2*FullWeight) + 1

// Future returns what an engine of some voices and parts must be told of the
// notes, by [alloc.Engine.Foresee], before the first step.
func (ref *Reference) Future(cfg alloc.Config) alloc.Future {
	f := alloc.Future{Ends: ref.Ends}
	if slices.ContainsFunc(cfg.Parts, func(p alloc.Part) bool { return p.Steal == alloc.StealLeastAudible }) {
		f.Worth = ref.worth(cfg)
	}
	return f
}
