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
	add := func(through profiles.Through, outs, count int) {
		if count == 0 {
			return
		}
		at := slices.IndexFunc(all, func(x Multiple) bool { return x.Through == through && x.Outs == outs })
		if at < 0 {
			at, all = len(all), append(all, Multiple{through, outs, 0})
		}
		all[at].Count += count
	}
	for i := range m.Nets {
		passive := 0
		for _, b := range m.Nets[i].Branches {
			switch {
			case b.Through != profiles.Passive:
			case b.Wire >= 0 && m.Rig.Wiring[b.Wire].Outs > 0:
				if outs := m.Rig.Wiring[b.Wire].Outs; b.Ends > 0 {
					add(profiles.Passive, outs, circuit.NewTree(b.Ends, outs).Least())
				}
			case b.Wire >= 0:
				passive += b.Ends
			default:
				passive += len(b.Inputs)
			}
			for _, n := range b.Tree.Levels {
				add(profiles.Buffered, b.Tree.Outs, n)
			}
		}
		add(profiles.Passive, passive, min(passive, 1))
	}
	slices.SortFunc(all, func(a, b Multiple) int { return cmp.Or(cmp.Compare(a.Through, b.Through), cmp.Compare(a.Outs, b.Outs)) })
	return all
}
