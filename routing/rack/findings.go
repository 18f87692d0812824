package rack

import (
	"fmt"

	"choirloft/profiles"
	"choirloft/routing"
)

func (s *Sheet) say(code routing.Code, where string, pos profiles.Pos, facts ...routing.Fact) {
	f := routing.New(code, where, facts...)
	f.Pos = pos
	s.Findings = append(s.Findings, f)
}

func (s *Sheet) find(rig *profiles.Rig) {
	for i := range s.Supplies {
		for _, r := range s.Supplies[i].Rails {
			s.findRail(rig, i, r)
		}
		s.findUnknown(rig, i)
	}
	s.findUnfed(rig)
	for _, r := range s.Rows {
		if r.HP > rig.Rack.HP {
			s.say(routing.RowTooWide, "rack", s.Modules[r.Modules[len(r.Modules)-1]].Pos, routing.Number("row", r.Row, ""),
				routing.Number("width", r.HP, "HP").Main(), routing.Named("modules", s.names(r.Modules)...), routing.Number("rack", rig.Rack.HP, "HP"))
		}
	}
}

// railName writes a rail as a rig does.
func railName(r profiles.Rail) string { return fmt.Sprintf("%+d", int(r)) }

// findRail speaks of a rail that bears too much, or is not there.
func (s *Sheet) findRail(rig *profiles.Rig, supply int, r Rail) {
	from := &rig.Supplies[supply]
	where := "supplies." + from.Name + "." + railName(r.Rail)
	pos, ok := rig.Given(where)
	if !ok {
		pos = from.Pos
	}
	facts := []routing.Fact{routing.Number("drawn", 1000*float64(r.Drawn), "mA").Main(), routing.Number("rail", int(r.Rail), "V"), routing.Named("supply", from.Name)}
	if r.Rating == 0 {
		s.say(routing.RailMissing, where, pos, facts...)
		return
	}
	if r.Share() <= MostShare+1e-12 {
		return
	}
	code := routing.SupplyTight
	if r.Share() > 1 {
		code = routing.SupplyOverloaded
	}
	facts = append(facts, routing.Number("share", 100*r.Share(), "%"), routing.Number("rating", 1000*r.Rating, "mA"),
		routing.Number("most_share", 100*MostShare, "%"), routing.Number("bearable", 1000*MostShare*r.Rating, "mA"))
	s.say(code, where, pos, append(facts, s.borne(rig, supply)...)...)
}

// borne says how else it could be borne.
func (s *Sheet) borne(rig *profiles.Rig, supply int) []routing.Fact {
	split, all := s.Bear(rig, supply)
	if split == nil {
		return s.unborne(rig, all)
	}
	facts := []routing.Fact{routing.Number("split", 100*split.Share, "%")}
	for at := range split.Ratings {
		var on []int
		for i, x := range split.On {
			if x == at {
				on = append(on, i)
			}
		}
		if len(on) > 0 {
			facts = append(facts, routing.Named("modules", s.names(on)...).Belongs(supplyName(rig, at, supply)))
		}
	}
	return facts
}

// unborne says why no split was found: what no split bears, that there is none, or
// that not all were tried.
func (s *Sheet) unborne(rig *profiles.Rig, all bool) []routing.Fact {
	facts := []routing.Fact{routing.Number("supplies", mostSupplies, "")}
	modules, rail, lone := s.Unbearable(rig)
	switch {
	case lone:
		return append(facts, routing.Named("alone", s.names(modules)...), routing.Number("alone_rail", int(rail), "V"))
	case len(modules) > 0:
		return append(facts, routing.Named("lacking", s.names(modules)...), routing.Number("lacking_rail", int(rail), "V"))
	case !all:
		return append(facts, routing.Number("tried", mostTried, ""))
	}
	return facts
}

// supplyName names a supply of a split.
func supplyName(rig *profiles.Rig, at, like int) string {
	if at < len(rig.Supplies) {
		return rig.Supplies[at].Name
	}
	return "one more like " + rig.Supplies[like].Name
}

// findUnknown speaks of what a supply feeds without knowing what it draws.
func (s *Sheet) findUnknown(rig *profiles.Rig, supply int) {
	var names []string
	for _, i := range s.Supplies[supply].Modules {
		if len(s.Modules[i].Current) == 0 {
			names = append(names, s.Modules[i].Name)
		}
	}
	if len(names) == 0 {
		return
	}
	from := &rig.Supplies[supply]
	s.say(routing.DrawUnknown, "supplies."+from.Name+".feeds", from.Pos, routing.Named("modules", names...), routing.Number("draw", 0, "mA").Assume(true))
}

// findUnfed speaks of what draws current and hangs on no supply, in a rig that
// has supplies.
func (s *Sheet) findUnfed(rig *profiles.Rig) {
	for i := range s.Modules {
		m := &s.Modules[i]
		if len(rig.Supplies) == 0 || m.Supply >= 0 || len(m.Current) == 0 {
			continue
		}
		s.say(routing.NotFed, m.path()+".ma", m.Pos, routing.Named("module", m.Name))
	}
}

// path is where the rig says what the module is.
func (m *Module) path() string {
	return map[profiles.FedKind]string{profiles.FedBank: "banks.", profiles.FedInterface: "interfaces.", profiles.FedGear: "gear."}[m.What] + m.Name
}
