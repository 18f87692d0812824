package cables

import (
	"cmp"
	"slices"

	"choirloft/profiles"
	"choirloft/routing"
	"choirloft/routing/circuit"
)

// Multiple is multiples to buy that are alike: all that wires go through, but for
// modules of the rig, which are there.
type Multiple struct {
	Through profiles.Through // passive or buffered
	Outs    int              // that each needs
	Count   int
}

// BuyMultiples sums up the multiples of a map: passive ones first, then those with
// fewer outputs. What hangs passively on a jack is one multiple, with an output for each
// plug; where a wire says how many outputs its multiple has, as many of these as it takes.
func BuyMultiples(m *routing.Map) (all []Multiple) {
	for i := range m.Nets {
		said, passive := multiplesOf(m, &m.Nets[i])
		for _, x := range said {
			all = add(all, x)
		}
		all = add(all, Multiple{profiles.Passive, passive, min(passive, 1)})
	}
	slices.SortFunc(all, byOutputs)
	return all
}

// FurtherMultiples are those that a map takes beside those of another, of a rig that has grown
// into its own: on wires, and as modules. Unsaid: on a jack there are more plugs on a multiple
// of which nobody said how many outputs it has.
func FurtherMultiples(before, after *routing.Map) (all []Multiple, unsaid bool) {
	for i := range after.Nets {
		n := &after.Nets[i]
		at := slices.IndexFunc(before.Nets, func(b routing.Net) bool {
			return b.Interface == n.Interface && b.GateJack == n.GateJack && b.Jack == n.Jack
		})
		said, passive := multiplesOf(after, n)
		var had []Multiple
		hadPassive := 0
		if at >= 0 {
			had, hadPassive = multiplesOf(before, &before.Nets[at])
		}
		for _, x := range said {
			if k := slices.IndexFunc(had, func(y Multiple) bool { return y.Through == x.Through && y.Outs == x.Outs }); k >= 0 {
				x.Count -= had[k].Count
			}
			all = add(all, x)
		}
		if hadPassive == 0 {
			all = add(all, Multiple{profiles.Passive, passive, min(passive, 1)})
		}
		unsaid = unsaid || hadPassive > 0 && passive > hadPassive
	}
	for i := len(before.Rig.Gear); i < len(after.Rig.Gear); i++ {
		through := map[profiles.Does]profiles.Through{profiles.DoesPassive: profiles.Passive, profiles.DoesBuffered: profiles.Buffered}
		g := &after.Rig.Gear[i]
		all = add(all, Multiple{through[g.Does], g.Outs, 1})
	}
	slices.SortFunc(all, byOutputs)
	return all, unsaid
}

func byOutputs(a, b Multiple) int {
	return cmp.Or(cmp.Compare(a.Through, b.Through), cmp.Compare(a.Outs, b.Outs))
}

// add counts multiples with those that are alike.
func add(all []Multiple, x Multiple) []Multiple {
	if x.Count <= 0 {
		return all
	}
	at := slices.IndexFunc(all, func(y Multiple) bool { return y.Through == x.Through && y.Outs == x.Outs })
	if at < 0 {
		return append(all, x)
	}
	all[at].Count += x.Count
	return all
}

// multiplesOf are those on the jack of a net of which the rig says how many outputs they have,
// and how many plugs meet on another.
func multiplesOf(m *routing.Map, n *routing.Net) (said []Multiple, passive int) {
	for _, b := range n.Branches {
		switch {
		case b.Through != profiles.Passive:
		case b.Wire >= 0 && m.Rig.Wiring[b.Wire].Outs > 0:
			if outs := m.Rig.Wiring[b.Wire].Outs; b.Ends > 0 {
				said = add(said, Multiple{profiles.Passive, outs, circuit.NewTree(b.Ends, outs).Least()})
			}
		case b.Wire >= 0:
			passive += b.Ends
		default:
			passive += len(b.Inputs)
		}
		for _, n := range b.Tree.Levels {
			said = add(said, Multiple{profiles.Buffered, b.Tree.Outs, n})
		}
	}
	return said, passive
}
