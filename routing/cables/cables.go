// Package cables lists the cables that a rig takes, and what to buy: one from
// each jack in use to its input, or to a multiple and on from there. [List] and
// [Buy] do it.
//
// A cable is as long as the straight way between the middles of what it joins,
// a quarter more, and 60 mm for the plugs: 1.25·√(dx² + dy²) + 60 mm, and then
// the next length in stock (common practice). Modules of a row stand side by
// side from the left in the order of the file; 1 HP is 5.08 mm and a row 133.35
// mm (IEC 60297-3, from a second source). The voices of a bank share its width.
// Multiples stand beside the interface that feeds them.
//
// A cable has the colour of the bank that it serves, whatever it carries: what is
// pitch, gate or control is said in words. One that serves several has none.
//
// Cables of sound are not counted: the rig does not say where they go.
package cables

import (
	"cmp"
	"math"
	"slices"
	"strconv"

	"choirloft/profiles"
	"choirloft/routing"
	"choirloft/routing/rack"
)

// Purpose says what a cable carries.
type Purpose uint8

// The purposes.
const (
	Pitch Purpose = iota
	Gate
	Lane  // further inputs of voices and banks
	Macro // one CV on many
)

// String names the purpose.
func (p Purpose) String() string { return [...]string{"pitch", "gate", "lane", "macro"}[p] }

// Stock are the lengths to be had, in cm, ascending.
func Stock() []int { return []int{15, 30, 45, 60, 90, 120, 150} }

// Cable is one cable.
type Cable struct {
	Name     string // on its label: see [List]
	From, To string // such as "main cv 1", "multiple at main cv 31" and "K1.pitch"
	Jack     string // that its signal comes from, itself From or before it
	Purpose  Purpose
	Bank     int // that it serves, index into Rig.Banks; −1 for several
	// Length is in mm, 0 where the rig does not say where both ends are.
	Length float64
	Stock  int // in cm; 0 where Length is, and where it is past the longest in stock
}

// millimetres
const (
	hp        = 5.08
	rowHeight = 133.35
	slackness = 1.25
	plugs     = 60.0
)

// Length is how long a cable has to be, in mm, for a way of dx and dy in mm.
func Length(dx, dy float64) float64 { return slackness*math.Hypot(dx, dy) + plugs }

// inStock is the shortest length in stock, in cm, that is long enough: 0 where
// none is.
func inStock(length float64) int {
	for _, cm := range Stock() {
		if length <= 10*float64(cm)+1e-9 {
			return cm
		}
	}
	return 0
}

// place is where something is in the rack, in mm from its left and top.
type place struct {
	x, y  float64
	known bool
}

// places are where modules stand: the left edge and the width.
type places struct {
	rig     *profiles.Rig
	modules []rack.Module
	left    []place
}

func newPlaces(rig *profiles.Rig) *places {
	p := &places{rig: rig, modules: rack.Modules(rig)}
	used := map[int]float64{} // width so far, by row
	open := map[int]bool{}    // rows with something of unknown width
	for _, m := range p.modules {
		at := place{used[m.Row], float64(m.Row) * rowHeight, m.Row > 0 && m.HP > 0 && !open[m.Row]}
		p.left = append(p.left, at)
		used[m.Row] += hp * float64(m.HP)
		open[m.Row] = open[m.Row] || m.HP == 0
	}
	return p
}

// module is the middle of a share of a module's width: the n-th of so many, from
// 0.
func (p *places) module(what profiles.FedKind, at, n, of int) place {
	i := slices.IndexFunc(p.modules, func(m rack.Module) bool { return m.What == what && m.At == at })
	where := p.left[i]
	where.x += hp * float64(p.modules[i].HP) * (float64(n) + 0.5) / float64(of)
	return where
}

func (p *places) input(i routing.Input) place {
	b := &p.rig.Banks[i.Bank]
	if i.Voice < 0 {
		return p.module(profiles.FedBank, i.Bank, 0, 1)
	}
	return p.module(profiles.FedBank, i.Bank, i.Voice-b.First, b.Size)
}

// List lists the cables of a map, by jack.
//
// A cable has the name of the jack that it comes from, so that no cable changes
// its name as long as its jack stays: cv12 from CV 12, gt3 from gate 3, box2:cv12
// from another interface than the first; see [routing.CableName]. Further ones
// from the same jack are cv12b, cv12c; those that go on from its multiples and
// modules cv12/1, cv12/2.
func List(m *routing.Map) []Cable {
	l := &lister{m: m, places: newPlaces(m.Rig), there: map[[2]string]bool{}}
	for i := range m.Nets {
		l.net, l.first, l.further = i, 0, 0
		for _, b := range m.Nets[i].Branches {
			if b.Normal != profiles.NoNormal {
				continue // behind the panels
			}
			l.branch(&m.Nets[i], &b)
		}
	}
	return l.all
}

type lister struct {
	m      *routing.Map
	places *places
	all    []Cable
	there  map[[2]string]bool // from and to

	net     int // of the present cable
	first   int // how many came out of its jack
	further int // how many go on from multiples
}

// name is that of the next cable.
func (l *lister) name(fromJack bool) string {
	n := &l.m.Nets[l.net]
	name := routing.CableName(l.m.Rig, l.m.Rig.Interfaces[n.Interface].Name, n.GateJack, n.Jack)
	if !fromJack {
		l.further++
		return OnFrom(name, l.further)
	}
	l.first++
	return Beside(name, l.first)
}

// OnFrom names the n-th cable, from 1, that goes on from multiples and modules.
func OnFrom(name string, n int) string { return name + "/" + strconv.Itoa(n) }

// Beside names the n-th cable, from 1, out of one jack.
func Beside(name string, n int) string {
	if n == 1 {
		return name
	}
	return name + letters(n)
}

// letters counts a, b … z, aa.
func letters(n int) string {
	text := ""
	for ; n > 0; n = (n - 1) / 26 {
		text = string(rune('a'+(n-1)%26)) + text
	}
	return text
}

// branch adds the cables of one way from a jack. What several ways have in
// common is one cable.
func (l *lister) branch(n *routing.Net, b *routing.Branch) {
	jack := n.JackName(l.m.Rig)
	source := end{jack, l.places.module(profiles.FedInterface, n.Interface, 0, 1)}
	purpose := l.purpose(n, b.Inputs[0])
	if b.Through != profiles.Direct {
		multiple := end{"multiple at " + jack, source.place}
		if !l.shared(source, multiple) {
			for range max(1, b.Tree.Equal()) { // one into each multiple
				l.add(source, multiple, purpose, served(n, func(b *routing.Branch) bool { return b.Through != profiles.Direct }))
			}
		}
		source = multiple
	}
	for _, at := range l.m.Rig.Way(b.Via) {
		module := end{l.m.Rig.Gear[at].Name, l.places.module(profiles.FedGear, at, 0, 1)}
		if !l.shared(source, module) {
			l.add(source, module, purpose, served(n, func(b *routing.Branch) bool { return slices.Contains(l.m.Rig.Way(b.Via), at) }))
		}
		source = module
	}
	for _, i := range b.Inputs {
		to := end{i.Name(l.m.Rig), l.places.input(i)}
		if b.Via == 0 || !l.shared(source, to) {
			l.add(source, to, l.purpose(n, i), i.Bank)
		}
	}
}

// served is the bank that all inputs belong to which some branches lead to; −1
// where there are several.
func served(n *routing.Net, on func(*routing.Branch) bool) int {
	bank := -1
	for i := range n.Branches {
		if !on(&n.Branches[i]) {
			continue
		}
		for _, in := range n.Branches[i].Inputs {
			if bank >= 0 && bank != in.Bank {
				return -1
			}
			bank = in.Bank
		}
	}
	return bank
}

// end is where a cable is plugged.
type end struct {
	name string
	place
}

// shared tells whether there is a cable from one end to the other.
func (l *lister) shared(from, to end) bool { return l.there[[2]string{from.name, to.name}] }

// purpose is what a cable to an input carries.
func (l *lister) purpose(n *routing.Net, i routing.Input) Purpose {
	switch {
	case n.GateJack || i.Input == "gate":
		return Gate
	case i.Input == "pitch":
		return Pitch
	case slices.ContainsFunc(l.m.Macros, func(x routing.Lane) bool { return slices.Contains(n.Lanes, x.Name) }):
		return Macro
	}
	return Lane
}

func (l *lister) add(from, to end, purpose Purpose, bank int) {
	jack := l.m.Nets[l.net].JackName(l.m.Rig)
	c := Cable{Name: l.name(from.name == jack), From: from.name, To: to.name, Jack: jack, Purpose: purpose, Bank: bank}
	if from.known && to.known {
		c.Length = Length(from.x-to.x, from.y-to.y)
		c.Stock = inStock(c.Length)
	}
	l.there[[2]string{from.name, to.name}] = true
	l.all = append(l.all, c)
}

// NoColour is that of a cable that serves several banks.
const NoColour profiles.Colour = math.MaxUint8

// Colour is that of the bank that a cable serves.
func (c *Cable) Colour(rig *profiles.Rig) profiles.Colour {
	if c.Bank < 0 {
		return NoColour
	}
	return rig.Banks[c.Bank].Colour
}

// Lot is cables to buy that are alike.
type Lot struct {
	Purpose Purpose         // of those of [Buy]
	Colour  profiles.Colour // of those of [BuyColours]
	// Stock is in cm; 0 with Long for what is longer than any in stock, and without
	// for what the rig does not say the places of.
	Stock int
	Long  bool
	Count int
}

// Buy sums cables up by length and what they are for: the shortest first, what is
// not known last.
func Buy(list []Cable) []Lot { return sum(list, func(c *Cable) Lot { return Lot{Purpose: c.Purpose} }) }

// BuyColours sums cables up by length, in the same order, and colour.
func BuyColours(rig *profiles.Rig, list []Cable) []Lot {
	return sum(list, func(c *Cable) Lot { return Lot{Colour: c.Colour(rig)} })
}

// sum counts the cables that are alike in length and in what kind says.
func sum(list []Cable, kind func(*Cable) Lot) (lots []Lot) {
	for i := range list {
		c, lot := &list[i], kind(&list[i])
		lot.Stock, lot.Long = c.Stock, c.Stock == 0 && c.Length > 0
		at := slices.IndexFunc(lots, func(x Lot) bool { x.Count = 0; return x == lot })
		if at < 0 {
			at = len(lots)
			lots = append(lots, lot)
		}
		lots[at].Count++
	}
	order := func(l Lot) int {
		switch {
		case l.Stock > 0:
			return l.Stock
		case l.Long:
			return math.MaxInt - 1
		}
		return math.MaxInt
	}
	slices.SortFunc(lots, func(a, b Lot) int {
		return cmp.Or(cmp.Compare(order(a), order(b)), cmp.Compare(a.Purpose, b.Purpose), cmp.Compare(a.Colour, b.Colour))
	})
	return lots
}
