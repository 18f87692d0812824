package rack

import (
	"cmp"
	"slices"

	"choirloft/profiles"
)

// Module is something that stands in the rack: a bank, an interface or other
// gear.
type Module struct {
	Name    string
	Pos     profiles.Pos
	What    profiles.FedKind
	At      int // index into Rig.Banks, Interfaces or Gear
	Row     int // from 1; 0 if not said
	HP      int // width; 0 if not said
	Current profiles.Currents
	Supply  int // index into Rig.Supplies, −1 for none
}

// Modules lists what stands in the rack, in the order of the file.
func Modules(rig *profiles.Rig) []Module {
	var all []Module
	for i := range rig.Banks {
		b := &rig.Banks[i]
		all = append(all, Module{b.Name, b.Pos, profiles.FedBank, i, b.Row, b.HP, b.Current, -1})
	}
	for i := range rig.Interfaces {
		f := &rig.Interfaces[i]
		all = append(all, Module{f.Name, f.Pos, profiles.FedInterface, i, f.Row, f.HP, f.Current, -1})
	}
	for i := range rig.Gear {
		g := &rig.Gear[i]
		all = append(all, Module{g.Name, g.Pos, profiles.FedGear, i, g.Row, g.HP, g.Current, -1})
	}
	inOrder(all)
	for s := range rig.Supplies {
		for _, fed := range rig.Supplies[s].Feeds {
			i := slices.IndexFunc(all, func(m Module) bool { return m.What == fed.What && m.At == fed.At })
			all[i].Supply = s
		}
	}
	return all
}

// inOrder sorts modules as a file has them. What no file has yet stands behind the last of its
// section, as it would be written.
func inOrder(all []Module) {
	last := map[profiles.FedKind]profiles.Pos{}
	at := map[string]profiles.Pos{} // by name, which is one in all sections
	for i := range all {
		m := &all[i]
		if !m.Pos.IsZero() {
			last[m.What] = m.Pos
		}
		at[m.Name] = last[m.What]
	}
	slices.SortStableFunc(all, func(a, b Module) int {
		x, y := at[a.Name], at[b.Name]
		return cmp.Or(cmp.Compare(x.Line, y.Line), cmp.Compare(x.Column, y.Column))
	})
}

// Row is a row of the rack.
type Row struct {
	Row     int   // from 1
	Modules []int // indexes into Sheet.Modules, from the left: in the order of the file
	HP      int   // of those whose width is said
	Current profiles.Currents
}

// rows puts the modules that say so into rows, the top one first.
func rows(modules []Module) []Row {
	var all []Row
	for i := range modules {
		m := &modules[i]
		if m.Row == 0 {
			continue
		}
		at := slices.IndexFunc(all, func(r Row) bool { return r.Row == m.Row })
		if at < 0 {
			at = len(all)
			all = append(all, Row{Row: m.Row})
		}
		r := &all[at]
		r.Modules, r.HP, r.Current = append(r.Modules, i), r.HP+m.HP, sum(r.Current, m.Current)
	}
	slices.SortFunc(all, func(a, b Row) int { return cmp.Compare(a.Row, b.Row) })
	return all
}

// sum adds currents, rail by rail.
func sum(a, b profiles.Currents) profiles.Currents {
	all := slices.Clone(a)
	for _, c := range b {
		if i := slices.IndexFunc(all, func(x profiles.Current) bool { return x.Rail == c.Rail }); i >= 0 {
			all[i].Amps += c.Amps
			continue
		}
		all = append(all, c)
	}
	return all
}
