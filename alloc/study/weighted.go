package study

import (
	"cmp"
	"math"
	"slices"
	"time"
)

// Weight is how much is lost when a note is damaged, 0 or more. It is a whole
// number, so that sums are exact in whatever order.
type Weight int64

// Plans say, for every number of voices, which of some intervals to keep whole
// and which to give up, so that what is given up has the least weight. No rule
// can lose less. Of plans that lose the same weight one that damages the fewest
// is taken; see [NewPlans].
type Plans struct {
	peak    int
	lost    []Weight // by voices, from 0
	damaged []int    // by voices
	given   [][]uint64
}

// NewPlans finds the plans for 0 … voices voices, the most that may be asked for
// unless that is the peak of the depth or more: from there on everything is
// kept. The intervals may come in any order, weights[i] is that of
// intervals[i]; intervals without a length are always kept. The weights must be 0 or more, and their sum below
// 2⁶². As long as the sum times the number of intervals stays below 2⁶² too,
// equal weights are told apart by how many intervals they damage.
//
// Time O(v·n·log n) for v voices, space O(n) and a bit for each interval and
// number of voices.
func NewPlans(intervals []Interval, weights []Weight, voices int) *Plans {
	edges, columns := columnsOf(intervals)
	scale, more := worthOf(edges, weights)
	for i := range edges {
		edges[i].worth = int64(weights[edges[i].interval])*scale + more
	}
	p := &Plans{peak: Peak(intervals)}
	p.add(len(intervals), edges, weights)
	n := newNetwork(edges, columns)
	for range min(max(0, voices), p.peak) {
		n.send()
		p.add(len(intervals), n.edges, weights)
	}
	return p
}

// worthOf returns by what a weight is multiplied, and what is added to it, so
// that a sum of worths orders by weight first and by number second.
func worthOf(edges []edge, weights []Weight) (scale, more int64) {
	total := int64(0)
	for _, e := range edges {
		total += int64(weights[e.interval])
	}
	if n := int64(len(edges)) + 1; total+1 < math.MaxInt64/2/n {
		return n, 1
	}
	return 1, 0
}

// add notes the plan for one voice more.
func (p *Plans) add(n int, edges []edge, weights []Weight) {
	given := make([]uint64, (n+63)/64)
	lost, damaged := Weight(0), 0
	for _, e := range edges {
		if !e.kept {
			given[e.interval>>6] |= 1 << (e.interval & 63)
			lost += weights[e.interval]
			damaged++
		}
	}
	p.lost, p.damaged, p.given = append(p.lost, lost), append(p.damaged, damaged), append(p.given, given)
}

// Lost returns the least weight that v voices must give up; 0 from the peak on.
// v below 0 counts as 0.
func (p *Plans) Lost(v int) Weight {
	if v >= p.peak {
		return 0
	}
	return p.lost[max(0, v)]
}

// Damaged returns how many intervals the plan for v voices gives up.
func (p *Plans) Damaged(v int) int {
	if v >= p.peak {
		return 0
	}
	return p.damaged[max(0, v)]
}

// Keeps tells whether the plan for v voices keeps interval i whole.
func (p *Plans) Keeps(v, i int) bool {
	return v >= p.peak || p.given[max(0, v)][i>>6]>>(i&63)&1 == 0
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
		if x.Length() > 0 {
			e := int32(len(edges))
			edges = append(edges, edge{interval: int32(i)})
			events = append(events, event{x.Start, e, false}, event{x.End, e, true})
		}
	}
	slices.SortFunc(events, func(a, b event) int {
		if c := cmp.Compare(a.at, b.at); c != 0 {
			return c
		}
		if a.ends != b.ends { // ends go first: at one instant they make room
			if a.ends {
				return -1
			}
			return 1
		}
		return cmp.Compare(a.edge, b.edge)
	})
	column, open := int32(0), false // open: something began in this column
	for _, v := range events {
		switch {
		case !v.ends:
			edges[v.edge].from, open = column, true
			continue
		case open:
			column, open = column+1, false
		}
		edges[v.edge].to = column
	}
	return edges, int(column)
}
