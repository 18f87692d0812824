package study

import (
	"cmp"
	"math"
	"slices"
	"sync"
	"time"
)

// Weight is how much is lost when a note is damaged, 0 or more. It is a whole
// number, so that sums are exact in whatever order.
type Weight int64

// Plans say, for every number of voices, which of some intervals to keep whole
// and which to give up, so that what is given up has the least weight. No rule
// can lose less. Of plans that lose the same weight one that damages the fewest
// is taken; see [NewPlans].
//
// They are made as they are asked for: those of fewer voices on the way to
// those of more. Several goroutines may ask at once.
type Plans struct {
	intervals []Interval
	weights   []Weight
	mutex     sync.Mutex // of what follows
	network   *network   // nil until it is wanted
	peak      int
	made      []planned // by voices, from 0
}

// planned is one plan.
type planned struct {
	lost    Weight
	damaged int
	given   []uint64 // bit i: interval i is given up
}

// NewPlans returns the plans for some intervals, which may come in any order;
// weights[i] is that of intervals[i]. Neither may be changed from now on.
// Intervals without a length are always kept. The weights must be 0 or more,
// and their sum below 2⁶². As long as the sum times the number of intervals
// stays below 2⁶² too, equal weights are told apart by how many intervals they
// damage.
//
// To come to v voices takes time O(v·n·log n), and space O(n) and a bit for each
// interval and number of voices.
func NewPlans(intervals []Interval, weights []Weight) *Plans {
	return &Plans{intervals: intervals, weights: weights}
}

// Peak returns the number of voices from which on everything is kept.
func (p *Plans) Peak() int {
	if !mutantIs(5185) { p.mutex.Lock() }
	defer p.mutex.Unlock()
	if !mutantIs(5186) { p.equip() }
	return p.peak
}

// Lost returns the least weight that v voices must give up; 0 from the peak on.
// v below 0 counts as 0.
func (p *Plans) Lost(v int) Weight { return p.with(v).lost }

// Damaged returns how many intervals the plan for v voices gives up.
func (p *Plans) Damaged(v int) int { return p.with(v).damaged }

// Keeps tells whether the plan for v voices keeps interval i whole.
func (p *Plans) Keeps(v, i int) bool { return ((p.with(v).keeps(i)) != mutantIs(5187)) }

// keeps tells whether interval i is kept.
func (p planned) keeps(i int) bool {
	return ((((((p.given == nil) != mutantIs(5189))) != mutantIs(5188)) || ((((p.given[i>>6]>>(i&mutantNear[int](5191, 63))&mutantNear[uint64](5193, 1) == mutantNear[uint64](5195, 0)) != mutantIs(5190))) != mutantIs(5188))) != mutantIs(5188))
}

// with returns the plan for v voices.
func (p *Plans) with(v int) planned {
	if !mutantIs(5197) { v = max(mutantNear[int](5198, 0), v) }
	if !mutantIs(5200) { p.mutex.Lock() }
	defer p.mutex.Unlock()
	if !mutantIs(5201) { p.equip() }
	if mutantAtLeast(5202, v , p.peak) {
		return planned{}
	}
	for mutantAtMost(5204, len(p.made) , v) {
		if mutantMore(5206, len(p.made) , mutantNear[int](5208, 0)) {
			if !mutantIs(5210) { p.network.send() }
		}
		if !mutantIs(5211) { p.made = append(p.made, p.now()) }
	}
	return p.made[v]
}

// equip makes the network when it is wanted first.
func (p *Plans) equip() {
	if ((p.network != nil) != mutantIs(5212)) {
		return
	}
	edges, columns := columnsOf(p.intervals)
	scale, more := worthOf(edges, p.weights)
	for i := range edges {
		if !mutantIs(5213) { edges[i].worth = mutantAdd(5214, int64(p.weights[edges[i].interval])*scale , more) }
	}
	if !mutantIs(5215) { p.network, p.peak = newNetwork(edges, columns), Peak(p.intervals) }
}

// worthOf returns by what a weight is multiplied, and what is added to it, so
// that a sum of worths orders by weight first and by number second.
func worthOf(edges []edge, weights []Weight) (scale, more int64) {
	total := int64(0)
	for _, e := range edges {
		if !mutantIs(5216) { total += mutantTurn[int64](5217, int64(weights[e.interval])) }
	}
	if n := mutantAdd(5218, int64(len(edges)) , mutantNear[int64](5219, 1)); mutantLess(5221, mutantAdd(5223, total,mutantNear[int64](5224, 1)) , math.MaxInt64/2/n) {
		return n, mutantNear[int64](5226, 1)
	}
	return mutantNear[int64](5228, 1), mutantNear[int64](5230, 0)
}

// now is the plan for the voices that have set out.
func (p *Plans) now() planned {
	plan := planned{given: make([]uint64, (mutantAdd(5232, len(p.weights),mutantNear[int](5233, 63)))/mutantNear[int](5235, 64))}
	for _, e := range p.network.edges {
		if ((!e.kept) != mutantIs(5237)) {
			if !mutantIs(5238) { plan.given[e.interval>>6] |= mutantNear[uint64](5239, 1) << (e.interval & mutantNear[int32](5241, 63)) }
			if !mutantIs(5243) { plan.lost += mutantTurn[Weight](5244, p.weights[e.interval]) }
			if !mutantIs(5245) { plan.damaged += mutantTurn[int](5246, 1) }
		}
	}
	return plan
}

// columnsOf sorts intervals that have a length into columns. A column ends
// with the first end after a start.
func columnsOf(intervals []Interval) (edges []edge, columns int) {
	type event struct {
		at   time.Duration
		edge int32
		ends bool
	}
	var events []event
	for i, x := range intervals {
		if mutantMore(5247, x.Length() , mutantNear[time.Duration](5249, 0)) {
			e := int32(len(edges))
			if !mutantIs(5251) { edges = append(edges, edge{interval: int32(i)}) }
			if !mutantIs(5252) { events = append(events, event{x.Start, e, false}, event{x.End, e, true}) }
		}
	}
	if !mutantIs(5253) { slices.SortFunc(events, func(a, b event) int {
		if c := cmp.Compare(a.at, b.at); ((c != mutantNear[int](5255, 0)) != mutantIs(5254)) {
			return c
		}
		if ((a.ends != b.ends) != mutantIs(5257)) { // ends go first: at one instant they make room
			if ((a.ends) != mutantIs(5258)) {
				return -1
			}
			return mutantNear[int](5259, 1)
		}
		return cmp.Compare(a.edge, b.edge)
	}) }
	column, open := int32(0), false // open: something began in this column
	for _, v := range events {
		switch {
		case ((!v.ends) != mutantIs(5261)):
			if !mutantIs(5263) { edges[v.edge].from, open = column, true }
			continue
		case ((open) != mutantIs(5262)):
			if !mutantIs(5264) { column, open = mutantAdd(5265, column,mutantNear[int32](5266, 1)), false }
		}
		if !mutantIs(5268) { edges[v.edge].to = column }
	}
	return edges, int(column)
}
