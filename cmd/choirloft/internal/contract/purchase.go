package contract

import (
	"choirloft/routing/advise"
	"choirloft/routing/purchase"
)

// purchase says what is bought.
func (b *sizer) purchase(p *purchase.Purchase) *Purchase {
	out := &Purchase{Like: p.LikeName(), Banks: p.Banks, Voices: p.Banks * p.Size(), Rows: p.Rows, Cables: p.Cables(), Needs: needs(p.Needs()), Unknown: []string{}}
	if p.Interfaces > 0 {
		out.Interfaces = Further{&p.Rig.Interfaces[p.From].Name, p.Interfaces}
	}
	if p.Supplies > 0 {
		out.Supplies = Further{&p.Rig.Supplies[p.Supply].Name, p.Supplies}
	}
	if b.in.Prices != nil {
		price := b.in.Prices.Of(p)
		out.Price = &price
	}
	for _, r := range p.Unknown() {
		out.Unknown = append(out.Unknown, r.String())
	}
	return out
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
		out.Fewest = b.purchase(x.Fewest)
	}
	for _, p := range x.Refused {
		out.Refused = append(out.Refused, Refused{p.LikeName(), p.Banks, p.Banks * p.Size(), needs(p.Refused)})
	}
	return out
}
