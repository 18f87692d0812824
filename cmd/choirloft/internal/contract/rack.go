package contract

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"choirloft/profiles"
	"choirloft/profiles/unit"
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

// SupplyTable has a row for each rail of a supply; no group without supplies.
func (c *Check) SupplyTable() Table {
	t := Table{Columns: []TableColumn{{"Supply", 10, false}, {"Rail", 4, true}, {"Drawn", 8, true}, {"Of", 8, true},
		{"Share", 6, true}, {"Feeds", 5, false}}}
	for i := range c.Supplies {
		s := &c.Supplies[i]
		for n, r := range s.Rails {
			share, feeds := unit.None, ""
			if r.Share != nil {
				share = unit.Percent(*r.Share)
			}
			if n == 0 {
				feeds = strings.Join(s.Feeds, ", ")
			}
			t.add("", s.Supply, r.Rail, milliamps(r.DrawnMA), milliamps(r.RatingMA), share, feeds)
		}
	}
	return t
}

// RowTable has a row for each of the rack's; no group where none is named.
func (c *Check) RowTable() Table {
	t := Table{Columns: []TableColumn{{"Row", 3, true}, {"HP", 10, true}, {"Draws", 24, false}, {"Modules", 7, false}}}
	for i := range c.Rows {
		r := &c.Rows[i]
		var names, words []string
		for _, m := range r.Modules {
			names = append(names, m.Name)
		}
		for _, d := range r.Draws {
			words = append(words, d.Rail+" "+milliamps(d.MA))
		}
		switch {
		case words == nil && r.HP == 0:
			continue // nothing to say of it
		case words == nil:
			words = []string{unit.None}
		}
		t.add("", strconv.Itoa(r.Row), fmt.Sprintf("%d of %d", r.HP, r.OfHP), strings.Join(words, ", "), strings.Join(names, ", "))
	}
	return t
}

func milliamps(ma float64) string { return strconv.FormatFloat(ma, 'f', 0, 64) + " mA" }

// PowerCautions are what must be said beside currents.
func (c *Check) PowerCautions() []string {
	if len(c.Supplies) == 0 && !slices.ContainsFunc(c.Rows, func(r Row) bool { return len(r.Draws) > 0 }) {
		return nil
	}
	return []string{"Bus connectors: power off first, and verify the polarity of each module and board; what is printed there " +
		"goes before any map. Mains belong inside closed, earthed cases: local codes and a licensed electrician decide. " +
		"These sums are bookkeeping, not approval."}
}
