package contract

import (
	"slices"

	"choirloft/routing/advise"
	"choirloft/routing/cables"
	"choirloft/routing/purchase"
	"choirloft/routing/whatif"
)

// newPurchase says what is bought, nil for nothing, with its price where there are prices.
func newPurchase(p *purchase.Purchase, prices *whatif.Prices) *Purchase {
	if p == nil {
		return nil
	}
	out := &Purchase{Like: p.LikeName(), Names: p.Names(), Banks: p.Banks, Voices: p.Banks * p.Size(), Rows: p.Rows, Multiples: multipleLots(p.Multiples), Cables: p.Cables(),
		Needs: needs(p.Needs()), Unknown: []string{}, ByHand: append([]string{}, slices.Concat(p.ByHand...)...)}
	if p.Interfaces > 0 {
		out.Interfaces = Further{&p.Rig.Interfaces[p.From].Name, p.Interfaces}
	}
	if p.Supplies > 0 {
		out.Supplies = Further{&p.Rig.Supplies[p.Supply].Name, p.Supplies}
	}
	if prices != nil {
		price := prices.Of(p)
		out.Price = &price
	}
	for _, r := range p.Unknown() {
		out.Unknown = append(out.Unknown, r.String())
	}
	return out
}

func multipleLots(list []cables.Multiple) []MultipleLot {
	all := []MultipleLot{}
	for _, x := range list {
		all = append(all, MultipleLot{x.Through.String(), x.Outs, x.Count})
	}
	return all
}

func needs(all []purchase.Short) []Need {
	list := []Need{}
	for _, s := range all {
		list = append(list, Need{s.Resource.String(), round3(s.Free), round3(s.Needed), optional(s.Unit), optional(s.Why)})
	}
	return list
}

// buying says what further banks would do.
func (b *sizer) buying(x *advise.Bought) *Buying {
	if x == nil {
		return nil
	}
	out := &Buying{Tried: x.Tried, Short: x.Short, Needless: x.Needless, Refused: []Refused{}}
	if x.After >= 0 {
		number := x.After + 1
		out.After = &number
	}
	if x.Fewest != nil {
		out.Fewest = newPurchase(x.Fewest, b.in.Prices)
	}
	for _, p := range x.Refused {
		out.Refused = append(out.Refused, Refused{p.LikeName(), p.Banks, p.Banks * p.Size(), needs(p.Refused)})
	}
	return out
}
