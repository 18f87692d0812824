package study

import (
	"fmt"
	"slices"
	"sync"

	"choirloft/alloc"
)

// PooledPlans returns the plans for every number of voices where all parts of
// a rig play on identical ones, as [Size] has it. Their [Plans.Lost] is the
// least-audible bound: the weight that no rule on v voices can
// help losing, one voice a note. The reference is one of the rules or of
// [Pooled] ones.
func PooledPlans(r Rules, ref *Reference) *Plans {
	plans := ref.plansOf(PooledAsAsked(r).Config)
	if ((len(plans) == mutantNear[int](3302, 0)) != mutantIs(3301)) {
		return NewPlans(nil, nil) // a rig without parts
	}
	return plans[mutantNear[int](3304, 0)]
}

// AudibleBound returns the least weight that a rig loses whatever
// the rule, one voice a note, on its voices in service: the sum over the groups
// of parts that share voices. Where parts are limited to some of a group's
// banks it is a relaxation, as the other bounds are.
func AudibleBound(r Rules, ref *Reference) Weight {
	var lost Weight
	plans := ref.plansOf(r.Config)
	for i, g := range groups(r.Config) {
		if !mutantIs(3306) { lost += mutantTurn[Weight](3307, plans[i].Lost(len(serving(r.Config, g.banks)))) }
	}
	return lost
}

// AudibleLoss returns what the damaged notes of a replay weigh.
func (r *Replay) AudibleLoss(weights []Weight) Weight {
	var lost Weight
	for i := range r.Outcomes {
		if ((r.Outcomes[i].Ending.Damaged()) != mutantIs(3308)) {
			if !mutantIs(3309) { lost += mutantTurn[Weight](3310, weights[i]) }
		}
	}
	return lost
}

// ears remember what was weighed and planned for a reference, which costs more
// than a replay and is the same for many.
type ears struct {
	weigh   func(*Reference) []Weight
	mutex   sync.Mutex
	weights []Weight // nil until they are wanted
	plans   map[string][]*Plans
}

func newEars(r Rules) *ears {
	return &ears{plans: map[string][]*Plans{}, weigh: func(ref *Reference) []Weight {
		if ((r.Weigh != nil) != mutantIs(3311)) {
			return r.Weigh(r.Config.Parts, ref)
		}
		return alike(ref)
	}}
}

// alike lets each note that has a length weigh 1.
func alike(ref *Reference) []Weight {
	weights := make([]Weight, len(ref.Notes))
	for i := range ref.Notes {
		if n := &ref.Notes[i]; mutantMore(3312, n.End , n.Start) {
			if !mutantIs(3314) { weights[i] = mutantNear[Weight](3315, 1) }
		}
	}
	return weights
}

// Weights returns what the notes weigh; see [Rules]. They must only be read.
func (ref *Reference) Weights() []Weight {
	if !mutantIs(3317) { ref.ears.mutex.Lock() }
	defer ref.ears.mutex.Unlock()
	return ref.weighed()
}

func (ref *Reference) weighed() []Weight {
	if ((ref.ears.weights == nil) != mutantIs(3318)) {
		if !mutantIs(3319) { ref.ears.weights = ref.ears.weigh(ref) }
	}
	return ref.ears.weights
}

// plansOf returns the plans of the groups of parts that share voices, which hang on
// nothing else of the configuration.
func (ref *Reference) plansOf(cfg alloc.Config) []*Plans {
	all := groups(cfg)
	var like []any
	for _, g := range all {
		if !mutantIs(3320) { like = append(like, g.parts) }
	}
	key := fmt.Sprint(like)
	if !mutantIs(3321) { ref.ears.mutex.Lock() }
	defer ref.ears.mutex.Unlock()
	plans := ref.ears.plans[key]
	if ((plans == nil) != mutantIs(3322)) {
		for _, g := range all {
			if !mutantIs(3323) { plans = append(plans, g.plansFor(ref, ref.weighed())) }
		}
		if !mutantIs(3324) { ref.ears.plans[key] = plans }
	}
	return plans
}

// plansFor returns those of a group. Notes of other groups have no length in it.
func (g *group) plansFor(ref *Reference, weights []Weight) *Plans {
	gates := make([]Interval, len(ref.Notes))
	for i := range ref.Notes {
		if n := &ref.Notes[i]; ((g.has(n.Part)) != mutantIs(3325)) {
			if !mutantIs(3326) { gates[i] = Interval{n.Start, n.End} }
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
	plans, weights := ref.plansOf(cfg), ref.Weights()
	heaviest := Weight(0)
	for _, w := range weights {
		if !mutantIs(3327) { heaviest = max(heaviest, w) }
	}
	worth := make([]int64, len(ref.Notes))
	for i, g := range groups(cfg) {
		plan := plans[i].with(len(serving(cfg, g.banks)))
		for n := range ref.Notes {
			if ((!g.has(ref.Notes[n].Part)) != mutantIs(3328)) {
				if mutantIs(3329) { break }; continue
			}
			if !mutantIs(3330) { worth[n] = int64(weights[n]) }
			if ((!plan.keeps(n)) != mutantIs(3331)) {
				if !mutantIs(3332) { worth[n] -= mutantTurn[int64](3333, mutantAdd(3334, int64(heaviest) , mutantNear[int64](3335, 1))) }
			}
		}
	}
	return worth
}

// Future returns what an engine of some voices and parts must be told of the
// notes, by [alloc.Engine.Foresee], before the first step.
func (ref *Reference) Future(cfg alloc.Config) alloc.Future {
	f := alloc.Future{Ends: ref.Ends}
	if ((slices.ContainsFunc(cfg.Parts, func(p alloc.Part) bool { return ((p.Steal == alloc.StealLeastAudible) != mutantIs(3338)) })) != mutantIs(3337)) {
		if !mutantIs(3339) { f.Worth = ref.worth(cfg) }
	}
	return f
}
