package study

import (
	"fmt"
	"sync"

	"choirloft/alloc"
)

// PooledPlans returns the plans for every number of voices where all parts of
// a rig play on identical ones, as [Size] has it. Their [Plans.Lost] is the
// least-audible bound: the weight, by [Weights], that no rule on v voices can
// help losing, one voice a note. The reference is one of the rules or of
// [Pooled] ones.
func PooledPlans(r Rules, ref *Reference) *Plans {
	plans := ref.ears.of(Pooled(r, unisonOf(r.Config)).Config, ref).plans
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
	h := &hearing{weights: weightsOf(cfg, ref)}
	for _, g := range all {
		h.plans = append(h.plans, g.plansFor(ref, h.weights))
	}
	if e.heard == nil {
		e.heard = map[string]*hearing{}
	}
	e.heard[key] = h
	return h
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
