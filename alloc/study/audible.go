package study

// PooledPlans returns the plans for every number of voices where all parts of
// a rig play on identical ones, as [Size] has it. Their [Plans.Lost] is the
// least-audible bound: the weight that no rule on v voices can help losing,
// one voice a note. The reference is one of the rules or of [Pooled] ones.
func PooledPlans(r Rules, ref *Reference) *Plans {
	return NewPlans(ref.Gates(everyPart), Weights(Pooled(r, unisonOf(r.Config)), ref))
}

// AudibleBound returns the least weight that a rig loses whatever the rule, one
// voice a note, on its voices in service: the sum over the groups of parts that
// share voices. weights are [Weights] of the same rules and reference, or any
// others. Where parts are limited to some of a group's banks it is a relaxation,
// as the other bounds are.
func AudibleBound(r Rules, ref *Reference, weights []Weight) Weight {
	var lost Weight
	for _, g := range groups(r.Config) {
		lost += g.plans(ref, weights).Lost(len(serving(r.Config, g.banks)))
	}
	return lost
}

// plans returns those of a group. Notes of other groups have no length in it.
func (g *group) plans(ref *Reference, weights []Weight) *Plans {
	gates := make([]Interval, len(ref.Notes))
	for i := range ref.Notes {
		if n := &ref.Notes[i]; g.has(n.Part) {
			gates[i] = Interval{n.Start, n.End}
		}
	}
	return NewPlans(gates, weights)
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
