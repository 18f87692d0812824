package whatif

import (
	"context"

	"choirloft/alloc"
	"choirloft/alloc/study"
	"choirloft/alloc/study/hearing"
	"choirloft/profiles"
	"choirloft/routing"
	"choirloft/routing/plan"
	"choirloft/routing/purchase"
)

// Rack is a rack that could be: banks of the rig's first kind, all alike.
type Rack struct {
	Name        string
	Banks, Size int // banks, and voices in each
	CVs, Gates  int // jacks it takes: those of its voices and banks, without macros
	Missing     int // of those, that the rig's interfaces do not have
	HP          int // of its banks; 0 where the rig does not say
	Current     profiles.Currents
	Price       *float64 // nil without prices
	Shared      study.Score
	Heard       *Ear // on shared banks; nil where the budget was not enough to listen
	Split       study.Split
}

// Prices are what things cost, in any one unit; what is not named is 0.
type Prices struct{ Voice, Bank, Interface, Supply, Row, Multiple, Cable float64 }

// Of is what a purchase costs.
func (x *Prices) Of(p *purchase.Purchase) float64 {
	multiples := 0
	for _, m := range p.Multiples {
		multiples += m.Count
	}
	return float64(p.Banks)*x.Bank + float64(p.Banks*p.Size())*x.Voice + float64(p.Interfaces)*x.Interface +
		float64(p.Supplies)*x.Supply + float64(p.Rows)*x.Row + float64(multiples)*x.Multiple + float64(p.Cables())*x.Cable
}

// Racks plays the song on racks that could be: with every part on all banks,
// and with the banks dealt out in the best way there is, see [study.BestSplit].
// Of each rack its name, banks and voices must be given. Where the budget ends it
// the first racks are returned. It returns the error of ctx if that ends first.
func (s *Session) Racks(ctx context.Context, racks []Rack, prices *Prices) ([]Rack, error) {
	most := map[int]int{} // the most banks, by voices in a bank
	for _, r := range racks {
		most[r.Size] = max(most[r.Size], r.Banks)
	}
	splits := map[int][]study.Split{}
	list := make([]Rack, len(racks))
	for i, r := range racks {
		p, err := s.racked(r)
		if err != nil {
			return nil, err
		}
		ref := s.ref
		if s.base.Splits() || !sameGates(p.Rules.Config.Parts, s.plan.Rules.Config.Parts) { // not of its banks, or without their triggers
			ref = study.NewReference(p.Rules, s.given)
		}
		if splits[r.Size] == nil {
			if !s.Budget.Spend(study.SplitWork(p.Rules, ref, s.given, r.Size, most[r.Size])) {
				s.cover("racks", i, len(racks))
				return list[:i], nil
			}
			if splits[r.Size], err = study.BestSplit(ctx, p.Rules, s.given, r.Size, most[r.Size]); err != nil {
				return nil, err
			}
		}
		r.Split = splits[r.Size][r.Banks-1]
		score, run, err := rehearse(p.Rules, s.given, ref)
		if err != nil {
			return nil, err
		}
		if r.Shared = score; s.listens() {
			if r.Heard, err = s.hearRack(run); err != nil {
				return nil, err
			}
		}
		r.count(p.Map)
		if prices != nil {
			price := float64(r.Banks)*prices.Bank + float64(r.Banks*r.Size)*prices.Voice
			r.Price = &price
		}
		list[i] = r
	}
	return list, nil
}

// Fits returns why a rack cannot play the parts of the rig, of which banks and voices are given; else nil. A stack
// may need more voices than it has, or it may have more than a rig can.
func (s *Session) Fits(r Rack) error {
	p, err := s.racked(r)
	if err == nil {
		_, err = alloc.New(p.Rules.Config)
	}
	return err
}

// hearRack says what is heard of a run on a rack, if the budget is enough.
func (s *Session) hearRack(run hearing.Run) (*Ear, error) {
	given, err := s.original()
	if err != nil {
		return nil, err
	}
	if !s.Budget.Spend(given.Work()) {
		s.cover("heard racks", 0, 1)
		return nil, nil
	}
	return s.ear(false, run)
}

// racked makes the plan of a rack. What the overrides say of today's voices and
// banks is left out.
func (s *Session) racked(r Rack) (*plan.Plan, error) {
	o := s.base
	o.Voices, o.More, o.Without, o.Banks, o.Reserve = nil, nil, nil, nil, nil
	return plan.Draft(s.rig.Racked(r.Banks, r.Size), o)
}

// count counts jacks, width and currents.
func (r *Rack) count(m *routing.Map) {
	lane := func(l *routing.Lane) {
		if l.Gate {
			r.Gates++
		} else {
			r.CVs++
		}
	}
	for v := range m.Voices {
		for i := range m.Voices[v].Lanes {
			lane(&m.Voices[v].Lanes[i])
		}
	}
	for i := range m.Shared {
		lane(&m.Shared[i])
	}
	r.Missing = len(m.Missing)
	var all profiles.Currents
	for i := range m.Rig.Banks {
		b := &m.Rig.Banks[i]
		r.HP += b.HP
		for n, c := range b.Current {
			if i == 0 {
				all = append(all, c)
			} else {
				all[n].Amps += c.Amps
			}
		}
	}
	r.Current = all
}
