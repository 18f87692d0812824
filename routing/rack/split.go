package rack

import (
	"math"
	"slices"

	"choirloft/profiles"
)

// Split is another way of sharing modules out among supplies.
type Split struct {
	Ratings []profiles.Currents // the supplies of the rig, then further ones
	On      []int               // by module: index into Ratings, −1 for what draws nothing or is not fed
	Moved   []int               // modules that hang elsewhere than now
	Share   float64             // of the fullest rail
	// Proven: all splits were tried, and none is better by the order of [Bear].
	Proven bool
}

// mostTried bounds the splits that are looked at.
const mostTried = 100_000

// mostSupplies is the most that a split goes to.
const mostSupplies = 8

// Bear looks for a split that loads no rail over [MostShare]. Among the supplies
// there are it moves as little as it can, and of equals loads the fullest rail
// least. Where these do not bear it, it adds supplies like the one at index
// like, as few as it can, and loads the fullest rail least. The split is nil where
// none was found; all tells whether all were tried, so that there is none.
func (s *Sheet) Bear(rig *profiles.Rig, like int) (split *Split, all bool) {
	all = true
	var ratings []profiles.Currents
	for i := range rig.Supplies {
		ratings = append(ratings, rig.Supplies[i].Rating)
	}
	for further := false; len(ratings) <= mostSupplies; further = true {
		if further {
			ratings = append(ratings, rig.Supplies[like].Rating)
		}
		f := newSearch(s, ratings, !further)
		f.place(0)
		if f.best != nil {
			f.best.Proven = f.tried < mostTried
			return f.best, all
		}
		all = all && f.tried < mostTried
		if len(ratings) == mostSupplies {
			break
		}
	}
	return nil, all
}

// Unbearable are modules that no split bears, whatever else it does: those that draw
// from a rail which no supply has, or alone too much for any supply; lone tells
// the latter. A further supply is like the one at index like, so it bears no more.
func (s *Sheet) Unbearable(rig *profiles.Rig) (modules []int, rail profiles.Rail, lone bool) {
	best := map[profiles.Rail]profiles.Amperes{}
	for _, supply := range rig.Supplies {
		for _, c := range supply.Rating {
			best[c.Rail] = max(best[c.Rail], c.Amps)
		}
	}
	for _, missing := range []bool{true, false} {
		for i := range s.Modules {
			for _, c := range s.Modules[i].Current {
				switch rating := best[c.Rail]; {
				case s.Modules[i].Supply < 0 || c.Amps == 0 || len(modules) > 0 && c.Rail != rail:
				case missing && rating == 0, !missing && float64(c.Amps) > MostShare*float64(rating)*(1+1e-12):
					modules, rail, lone = append(modules, i), c.Rail, !missing
				}
			}
		}
		if len(modules) > 0 {
			return modules, rail, lone
		}
	}
	return nil, 0, false
}

// search tries splits in depth.
type search struct {
	sheet     *Sheet
	ratings   []profiles.Currents
	items     []int // modules to be placed, the largest first
	frugal    bool  // few moves count before a low share
	drawn     []profiles.Currents
	on        []int
	moved     int
	tried     int
	best      *Split
	bestMoved int
}

func newSearch(s *Sheet, ratings []profiles.Currents, frugal bool) *search {
	f := &search{sheet: s, ratings: slices.Clone(ratings), frugal: frugal,
		drawn: make([]profiles.Currents, len(ratings)), on: make([]int, len(s.Modules))}
	for i := range s.Modules {
		f.on[i] = -1
		if s.Modules[i].Supply >= 0 && len(s.Modules[i].Current) > 0 {
			f.items = append(f.items, i)
		}
	}
	slices.SortStableFunc(f.items, func(a, b int) int { return f.weigh(b) - f.weigh(a) })
	return f
}

// weigh is what a module draws in all, in microamperes.
func (f *search) weigh(module int) int {
	sum := 0.0
	for _, c := range f.sheet.Modules[module].Current {
		sum += float64(c.Amps)
	}
	return int(1e6 * sum)
}

// place puts the n-th module and all after it wherever they may go.
func (f *search) place(n int) {
	if f.tried++; f.tried >= mostTried {
		return
	}
	if n == len(f.items) {
		f.keep()
		return
	}
	item := f.items[n]
	m := &f.sheet.Modules[item]
	for at := f.first(n); at < len(f.ratings); at++ {
		if f.alike(at) {
			continue // an empty supply like the one before: nothing new
		}
		before, moved := f.drawn[at], f.moved
		f.drawn[at], f.on[item] = sum(before, m.Current), at
		if at != m.Supply {
			f.moved++
		}
		if f.hopeful(at) {
			f.place(n + 1)
		}
		f.drawn[at], f.moved, f.on[item] = before, moved, -1
	}
}

// first is where the n-th module begins: of modules that draw alike and hang
// together now, the later one never goes before the earlier.
func (f *search) first(n int) int {
	if n == 0 {
		return 0
	}
	a, b := &f.sheet.Modules[f.items[n-1]], &f.sheet.Modules[f.items[n]]
	if a.Supply == b.Supply && slices.Equal(a.Current, b.Current) {
		return f.on[f.items[n-1]]
	}
	return 0
}

// alike tells whether a supply is new and empty, and the one before it too.
func (f *search) alike(at int) bool {
	return at > len(f.sheet.Supplies) && f.drawn[at] == nil && f.drawn[at-1] == nil
}

// hopeful tells whether what is placed so far may lead to something better.
func (f *search) hopeful(at int) bool {
	share := fullest(rails(f.ratings[at], f.drawn[at]))
	switch {
	case share > MostShare+1e-12:
		return false
	case f.best == nil:
		return true
	case f.frugal && f.moved != f.bestMoved:
		return f.moved < f.bestMoved
	}
	return share < f.best.Share-1e-12
}

// keep notes a split that is better than all before it.
func (f *search) keep() {
	share := 0.0
	for at := range f.ratings {
		share = max(share, fullest(rails(f.ratings[at], f.drawn[at])))
	}
	better := f.best == nil || f.frugal && f.moved < f.bestMoved ||
		(!f.frugal || f.moved == f.bestMoved) && share < f.best.Share-1e-12
	if !better || math.IsInf(share, 1) {
		return
	}
	f.best, f.bestMoved = &Split{Ratings: f.ratings, On: slices.Clone(f.on), Share: share}, f.moved
	for _, i := range f.items {
		if f.on[i] != f.sheet.Modules[i].Supply {
			f.best.Moved = append(f.best.Moved, i)
		}
	}
	slices.Sort(f.best.Moved)
}
