package contract

import (
	"fmt"

	"choirloft/profiles"
	"choirloft/routing/rack"
)

// Supply is what one supply bears.
type Supply struct {
	Supply string   `json:"supply"`
	Feeds  []string `json:"feeds"`
	Rails  []Rail   `json:"rails"`
}

// Rail is one rail of a supply.
type Rail struct {
	Rail     string   `json:"rail"` // +12, -12, +5, +15, -15
	DrawnMA  float64  `json:"drawn_ma"`
	RatingMA float64  `json:"rating_ma"`
	Share    *float64 `json:"share"` // null where the supply has no such rail
}

// Row is a row of the rack.
type Row struct {
	Row     int         `json:"row"`
	HP      int         `json:"hp"` // of the modules that say theirs
	OfHP    int         `json:"of_hp"`
	Modules []Module    `json:"modules"` // from the left
	Draws   []RailDrawn `json:"draws"`
}

// Module is something that stands in the rack.
type Module struct {
	Name   string      `json:"name"`
	HP     int         `json:"hp"` // 0 if not said
	Supply *string     `json:"supply"`
	Draws  []RailDrawn `json:"draws"` // empty if not said
}

// RailDrawn is what is drawn from a rail.
type RailDrawn struct {
	Rail string  `json:"rail"`
	MA   float64 `json:"ma"`
}

func draws(c profiles.Currents) []RailDrawn {
	out := []RailDrawn{}
	for _, x := range c {
		out = append(out, RailDrawn{railName(x.Rail), 1000 * float64(x.Amps)})
	}
	return out
}

func railName(r profiles.Rail) string { return fmt.Sprintf("%+d", int(r)) }

func newSupplies(rig *profiles.Rig, s *rack.Sheet) []Supply {
	out := []Supply{}
	for i := range s.Supplies {
		x := Supply{Supply: rig.Supplies[i].Name, Feeds: []string{}, Rails: []Rail{}}
		for _, m := range s.Supplies[i].Modules {
			x.Feeds = append(x.Feeds, s.Modules[m].Name)
		}
		for _, r := range s.Supplies[i].Rails {
			x.Rails = append(x.Rails, Rail{railName(r.Rail), 1000 * float64(r.Drawn), 1000 * float64(r.Rating), finite(r.Share())})
		}
		out = append(out, x)
	}
	return out
}

func newRows(rig *profiles.Rig, s *rack.Sheet) []Row {
	out := []Row{}
	for _, r := range s.Rows {
		x := Row{Row: r.Row, HP: r.HP, OfHP: rig.Rack.HP, Draws: draws(r.Current)}
		for _, i := range r.Modules {
			m := &s.Modules[i]
			module := Module{Name: m.Name, HP: m.HP, Draws: draws(m.Current)}
			if m.Supply >= 0 {
				module.Supply = &rig.Supplies[m.Supply].Name
			}
			x.Modules = append(x.Modules, module)
		}
		out = append(out, x)
	}
	return out
}
