package rack

import (
	"fmt"
	"strings"

	"choirloft/profiles"
	"choirloft/profiles/unit"
	"choirloft/routing"
)

func (s *Sheet) say(code routing.Code, where string, pos profiles.Pos, text, hint string) *routing.Finding {
	f := routing.New(code, where, text)
	f.Pos, f.Hint = pos, hint
	s.Findings = append(s.Findings, f)
	return &s.Findings[len(s.Findings)-1]
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
			f := s.say(routing.RowTooWide, "rack", s.Modules[r.Modules[len(r.Modules)-1]].Pos, fmt.Sprintf("row %d holds %d HP (%s), and the rack has %d",
				r.Row, r.HP, strings.Join(s.names(r.Modules), ", "), rig.Rack.HP), "move one to another row, or correct its hp")
			value := float64(r.HP)
			f.Value, f.Unit = &value, "HP"
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
	drawn := 1000 * float64(r.Drawn)
	if r.Rating == 0 {
		f := s.say(routing.RailMissing, where, pos, fmt.Sprintf("modules draw %s mA from %s V of supply %s, which has no such rail", unit.Fixed(drawn, 0), railName(r.Rail), from.Name),
			"feed them from another supply, or write its rating")
		f.Value, f.Unit = &drawn, "mA"
		return
	}
	if r.Share() <= MostShare+1e-12 {
		return
	}
	code := routing.SupplyTight
	if r.Share() > 1 {
		code = routing.SupplyOverloaded
	}
	f := s.say(code, where, pos, fmt.Sprintf("modules draw %s mA from %s V of supply %s: %s %% of %s mA; 75 %% are %s mA",
		unit.Fixed(drawn, 0), railName(r.Rail), from.Name, unit.Fixed(100*r.Share(), 1), unit.Fixed(1000*r.Rating, 0), unit.Fixed(1000*MostShare*r.Rating, 0)), s.splitHint(rig, supply))
	f.Value, f.Unit = &drawn, "mA"
}

// splitHint says how else it could be borne.
func (s *Sheet) splitHint(rig *profiles.Rig, supply int) string {
	split := s.Bear(rig, supply)
	if split == nil {
		return "no split over up to 8 such supplies bears it: one module alone draws too much"
	}
	var words []string
	for at := range split.Ratings {
		var on []int
		for i, x := range split.On {
			if x == at {
				on = append(on, i)
			}
		}
		if len(on) == 0 {
			continue
		}
		words = append(words, supplyName(rig, at, supply)+": "+strings.Join(s.names(on), ", "))
	}
	return fmt.Sprintf("this split bears it, at %s %% at most: %s", unit.Fixed(100*split.Share, 0), strings.Join(words, "; "))
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
	f := s.say(routing.DrawUnknown, "supplies."+from.Name+".feeds", from.Pos, fmt.Sprintf("the draw of %s is not given, so it counts as nothing", strings.Join(names, ", ")),
		"write ma from the maker's sheet, or measure it")
	f.Assumed = true
}

// findUnfed speaks of what draws current and hangs on no supply, in a rig that
// has supplies.
func (s *Sheet) findUnfed(rig *profiles.Rig) {
	for i := range s.Modules {
		m := &s.Modules[i]
		if len(rig.Supplies) == 0 || m.Supply >= 0 || len(m.Current) == 0 {
			continue
		}
		s.say(routing.NotFed, m.path()+".ma", m.Pos, m.Name+" draws current, and no supply feeds it",
			"name it under the feeds of a supply, or remove its ma if it has its own supply")
	}
}

// path is where the rig says what the module is.
func (m *Module) path() string {
	return map[profiles.FedKind]string{profiles.FedBank: "banks.", profiles.FedInterface: "interfaces.", profiles.FedGear: "gear."}[m.What] + m.Name
}
