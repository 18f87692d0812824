package rack

import (
	"slices"

	"choirloft/profiles"
	"choirloft/routing"
)

// MostShare is how much of a supply's rating a rail should bear: common
// practice.
const MostShare = 0.75

// Sheet is the account of a rack.
type Sheet struct {
	Modules  []Module // in the order of the file
	Rows     []Row    // the top one first; only modules that say their row
	Supplies []Supply // in the order of the file
	Findings []routing.Finding
}

// Supply is what one supply bears.
type Supply struct {
	Modules []int  // indexes into Sheet.Modules
	Rails   []Rail // as its rating has them, then those that it lacks
}

// Rail is one rail of a supply.
type Rail struct {
	Rail          profiles.Rail
	Drawn, Rating profiles.Amperes
}

// Share is what is drawn, of the rating: +Inf where there is none to draw from.
func (r Rail) Share() float64 { return float64(r.Drawn) / float64(r.Rating) }

// New keeps the books of a rig's rack.
func New(rig *profiles.Rig) *Sheet {
	s := &Sheet{Modules: Modules(rig)}
	s.Rows = rows(s.Modules)
	for i := range rig.Supplies {
		s.Supplies = append(s.Supplies, s.supply(&rig.Supplies[i], i))
	}
	s.find(rig)
	return s
}

func (s *Sheet) supply(from *profiles.Supply, at int) Supply {
	var out Supply
	var drawn profiles.Currents
	for i := range s.Modules {
		if s.Modules[i].Supply == at {
			out.Modules = append(out.Modules, i)
			drawn = sum(drawn, s.Modules[i].Current)
		}
	}
	out.Rails = rails(from.Rating, drawn)
	return out
}

// rails sets what is drawn against what is given.
func rails(rating, drawn profiles.Currents) (all []Rail) {
	for _, c := range rating {
		all = append(all, Rail{c.Rail, drawn.On(c.Rail), c.Amps})
	}
	for _, c := range drawn {
		if rating.On(c.Rail) == 0 && c.Amps > 0 {
			all = append(all, Rail{c.Rail, c.Amps, 0})
		}
	}
	return all
}

// fullest is the largest share of a supply's rails.
func fullest(rails []Rail) (share float64) {
	for _, r := range rails {
		share = max(share, r.Share())
	}
	return share
}

// names joins the names of modules.
func (s *Sheet) names(modules []int) (names []string) {
	for _, i := range slices.Sorted(slices.Values(modules)) {
		names = append(names, s.Modules[i].Name)
	}
	return names
}
