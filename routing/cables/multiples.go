package cables

import (
	"cmp"
	"slices"

	"choirloft/profiles"
	"choirloft/routing"
)

// Multiple is multiples to buy that are alike: all that wires go through, but for
// modules of the rig, which are there.
type Multiple struct {
	Through profiles.Through // passive or buffered
	Outs    int              // that each needs
	Count   int
}

// BuyMultiples sums up the multiples of a map: passive ones first, then those with
// fewer outputs. What hangs passively on a jack is one multiple, with an output an
// input.
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
			if b.Through == profiles.Passive {
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
