package purchase

import (
	"slices"

	"choirloft/profiles"
	"choirloft/routing/growth"
	"choirloft/routing/rack"
)

// module is something new in the rack.
type module struct {
	what    profiles.FedKind
	at      int
	name    string
	hp      int
	row     *int
	current profiles.Currents
}

// modules are the new ones, banks first.
func (p *Purchase) modules() (all []module) {
	p.Rig.Banks, p.Rig.Interfaces, p.Rig.Gear = slices.Clone(p.Rig.Banks), slices.Clone(p.Rig.Interfaces), slices.Clone(p.Rig.Gear)
	for i := len(p.before.Rig.Banks); i < len(p.Rig.Banks); i++ {
		b := &p.Rig.Banks[i]
		all = append(all, module{profiles.FedBank, i, b.Name, b.HP, &b.Row, b.Current})
	}
	for i := len(p.before.Rig.Interfaces); i < len(p.Rig.Interfaces); i++ {
		f := &p.Rig.Interfaces[i]
		all = append(all, module{profiles.FedInterface, i, f.Name, f.HP, &f.Row, f.Current})
	}
	for i := len(p.before.Rig.Gear); i < len(p.Rig.Gear); i++ {
		g := &p.Rig.Gear[i]
		all = append(all, module{profiles.FedGear, i, g.Name, g.HP, &g.Row, g.Current})
	}
	return all
}

// place puts each new module into the first row with a gap that is wide enough, or into a
// new row. Where the rig puts nothing into rows it is not known how many there are.
func (p *Purchase) place() {
	rig := *p.Rig
	p.Rig = &rig
	rows := map[int]int{} // width that is taken
	last := 0
	for _, r := range rack.New(p.before.Rig).Rows {
		rows[r.Row], last = r.HP, max(last, r.Row)
	}
	there := last
	wide := p.Rig.Rack.HP
	for _, m := range p.modules() {
		if m.hp == 0 || there == 0 {
			p.unknown = append(p.unknown, growth.Limit{Resource: growth.Width, Unknown: true})
			continue
		}
		row := 1
		for ; row <= last; row++ {
			if taken, ok := rows[row]; ok && taken+m.hp <= wide {
				break
			}
		}
		if row > mostRows || m.hp > wide {
			p.refuse(Short{growth.Width, float64(wide), float64(m.hp), "HP", ""})
			return
		}
		last = max(last, row)
		rows[row] += m.hp
		*m.row = row
	}
	p.Rows = last - there
}

// feed hangs each new module on a supply that then bears it at three quarters of its
// rating at most: on the one that feeds its like, else on another, else on a new one.
func (p *Purchase) feed() {
	if len(p.Rig.Supplies) == 0 {
		return
	}
	p.Rig.Supplies = slices.Clone(p.Rig.Supplies)
	p.Supply = p.feeder()
	for _, m := range p.modules() {
		if len(m.current) == 0 {
			p.unknown = append(p.unknown, growth.Limit{Resource: growth.Current, Unknown: true})
			continue
		}
		at := p.bearer(m.current)
		if at < 0 && p.Supplies < mostBeside {
			p.Rig = p.Rig.WithSupply(p.Supply)
			p.Supplies++
			at = p.bearer(m.current)
		}
		if at < 0 {
			p.Supplies = 0
			p.short(m.current)
			return
		}
		s := &p.Rig.Supplies[at]
		s.Feeds = append(slices.Clone(s.Feeds), profiles.Fed{Name: m.name, What: m.what, At: m.at})
	}
}

// feeder is the supply that feeds the bank that the new ones are like, else the first.
func (p *Purchase) feeder() int {
	return max(0, slices.IndexFunc(p.Rig.Supplies, func(s profiles.Supply) bool {
		return slices.ContainsFunc(s.Feeds, func(f profiles.Fed) bool { return f.What == profiles.FedBank && f.At == p.Like })
	}))
}

// bearer is a supply with room on every rail for a current, or −1.
func (p *Purchase) bearer(draw profiles.Currents) int {
	sheet := rack.New(p.Rig)
	order := []int{p.Supply}
	for i := range sheet.Supplies {
		order = append(order, i)
	}
	for _, i := range order {
		if !slices.ContainsFunc(draw, func(c profiles.Current) bool { return c.Amps > left(&sheet.Supplies[i], c.Rail)+1e-9 }) {
			return i
		}
	}
	return -1
}

// left is what a rail of a supply bears besides.
func left(s *rack.Supply, rail profiles.Rail) profiles.Amperes {
	for _, r := range s.Rails {
		if r.Rail == rail {
			return max(0, rack.MostShare*r.Rating-r.Drawn)
		}
	}
	return 0
}

// short says which rail of a new supply does not bear a module, or that there are too many.
func (p *Purchase) short(draw profiles.Currents) {
	rating := p.Rig.Supplies[p.Supply].Rating
	s := Short{Resource: growth.Current, Unit: "mA"}
	for _, c := range draw {
		if bears := rack.MostShare * rating.On(c.Rail); s.Needed == 0 || c.Amps > bears {
			s.Free, s.Needed = 1000*float64(bears), 1000*float64(c.Amps)
		}
	}
	p.refuse(s)
}
