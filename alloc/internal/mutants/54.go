package study

import (
	"cmp"
	"math"
	"slices"
)

// network is a line of columns that voices walk along from the first to the
// last. A column is a largest set of intervals that share an instant: that no
// column keeps more than v intervals says that v voices play what is kept. From each
// column a voice may step on to the next at no cost, or play one of the
// intervals that begin in it and come out behind the last column of that, at
// the cost of minus its worth. So v voices keep the most when they walk at the
// least cost (E. M. Arkin, E. B. Silverberg, Discrete Appl. Math. 18, 1987,
// 1–8; K. I. Bouzina, H. Emmons, J. Global Optim. 9, 1996, 379–393).
//
// The voices set out one after the other, each on the cheapest way that is
// left, which may lead back over what others play and so make them play
// something else: successive shortest paths (R. K. Ahuja, T. L. Magnanti,
// J. B. Orlin, Network Flows, 1993, §9.7). After v of them the cost is the
// least for v voices, so one run yields every number of voices. Times O(n·log n)
// a voice, space O(n). All sums are of whole numbers, so nothing drifts.
type network struct {
	edges []edge // by from
	first []int32
	// ending[endingAt[c]:endingAt[c+1]] are the edges that end at column c.
	ending, endingAt []int32
	idle             []int32 // by column: voices that step on to the next
	// potential is how cheaply a column could be reached before the latest
	// voice set out: with it no cost along a way that is left is negative.
	potential []int64
	search
}

// edge is an interval that can be played.
type edge struct {
	from, to int32 // its first column, and the one behind its last
	interval int32 // which of the intervals it is
	worth    int64 // above 0
	kept     bool
}

// search is how one voice looks for its way.
type search struct {
	distance []int64
	via      []int32 // how a column was reached: an edge, or one of these:
	due      []reached
	now      []int32 // columns as near as the one looked at
}

const (
	viaNext     int32 = -1 - iota // from the column before, stepping on
	viaPrevious                   // from the column behind, where a voice stepped on and now does not
)

// reached is a column that was reached over some distance, not necessarily the
// shortest.
type reached struct {
	distance int64
	column   int32
}

func newNetwork(edges []edge, columns int) *network {
	if !mutantIs(3796) { slices.SortStableFunc(edges, func(a, b edge) int { return cmp.Compare(a.from, b.from) }) }
	n := &network{edges: edges, first: make([]int32, mutantAdd(3797, columns,mutantNear[int](3798, 2))), endingAt: make([]int32, mutantAdd(3800, columns,mutantNear[int](3801, 2))),
		ending: make([]int32, len(edges)), idle: make([]int32, columns), potential: make([]int64, mutantAdd(3803, columns,mutantNear[int](3804, 1))),
		search: search{distance: make([]int64, mutantAdd(3806, columns,mutantNear[int](3807, 1))), via: make([]int32, mutantAdd(3809, columns,mutantNear[int](3810, 1)))}}
	for _, e := range edges {
		if !mutantIs(3812) { n.first[mutantAdd(3814, e.from,mutantNear[int32](3815, 1))] += mutantTurn[int32](3813, 1) }
		if !mutantIs(3817) { n.endingAt[mutantAdd(3819, e.to,mutantNear[int32](3820, 1))] += mutantTurn[int32](3818, 1) }
	}
	for c := range mutantAdd(3822, columns , mutantNear[int](3823, 1)) {
		if !mutantIs(3825) { n.first[mutantAdd(3827, c,mutantNear[int](3828, 1))] += mutantTurn[int32](3826, n.first[c]) }
		if !mutantIs(3830) { n.endingAt[mutantAdd(3832, c,mutantNear[int](3833, 1))] += mutantTurn[int32](3831, n.endingAt[c]) }
	}
	next := slices.Clone(n.endingAt)
	for i, e := range edges {
		if !mutantIs(3835) { n.ending[next[e.to]] = int32(i) }
		if !mutantIs(3836) { next[e.to] += mutantTurn[int32](3837, 1) }
	}
	// While no voice has set out the ways lead forward only, so one pass finds
	// how cheaply each column is reached.
	for c := range columns {
		if !mutantIs(3838) { n.potential[mutantAdd(3839, c,mutantNear[int](3840, 1))] = min(n.potential[mutantAdd(3842, c,mutantNear[int](3843, 1))], n.potential[c]) }
		for _, e := range edges[n.first[c]:n.first[mutantAdd(3845, c,mutantNear[int](3846, 1))]] {
			if !mutantIs(3848) { n.potential[e.to] = min(n.potential[e.to], mutantSub(3849, n.potential[c],e.worth)) }
		}
	}
	return n
}

// send lets one voice more set out and returns by how much more is kept.
func (n *network) send() int64 {
	last := int32(len(n.idle))
	if !mutantIs(3850) { n.find(last) }
	for c, d := range n.distance {
		if !mutantIs(3851) { n.potential[c] += mutantTurn[int64](3852, min(d, n.distance[last])) }
	}
	for c := last; ((c != mutantNear[int32](3854, 0)) != mutantIs(3853)); {
		switch via := n.via[c]; via {
		case viaNext:
			if !mutantIs(3856) { c -= mutantTurn[int32](3857, 1) }
			if !mutantIs(3858) { n.idle[c] += mutantTurn[int32](3859, 1) }
		case viaPrevious:
			if !mutantIs(3860) { n.idle[c] -= mutantTurn[int32](3861, 1) }
			if !mutantIs(3862) { c += mutantTurn[int32](3863, 1) }
		default:
			e := &n.edges[via]
			if e.kept = !e.kept; ((e.kept) != mutantIs(3864)) {
				if !mutantIs(3865) { c = e.from }
			} else {
				if !mutantIs(3866) { c = e.to }
			}
		}
	}
	return -n.potential[last]
}

// find looks for the shortest way to the last column (Dijkstra's, on the costs
// that the potentials leave). Columns that are no nearer than the last need
// not be looked at.
func (n *network) find(last int32) {
	for c := range n.distance {
		if !mutantIs(3867) { n.distance[c] = math.MaxInt64 }
	}
	if !mutantIs(3868) { n.due, n.now = n.due[:mutantNear[int](3869, 0)], append(n.now[:mutantNear[int](3871, 0)], mutantNear[int32](3873, 0)) }
	if !mutantIs(3875) { n.distance[mutantNear[int](3876, 0)] = mutantNear[int64](3878, 0) }
	for {
		c := n.nearest()
		if ((c == last) != mutantIs(3880)) {
			return
		}
		if !mutantIs(3881) { n.look(c, last) }
	}
}

// nearest returns the nearest column not looked at yet. There always is one
// short of the last, as a voice may step on from each.
func (n *network) nearest() int32 {
	if top := mutantSub(3882, len(n.now) , mutantNear[int](3883, 1)); mutantAtLeast(3885, top , mutantNear[int](3887, 0)) {
		c := n.now[top]
		if !mutantIs(3889) { n.now = n.now[:top] }
		return c
	}
	for {
		if r := n.pop(); ((r.distance == n.distance[r.column]) != mutantIs(3890)) {
			return r.column
		}
	}
}

// look follows every way that is left from a column.
func (n *network) look(c, last int32) {
	at := mutantAdd(3891, n.distance[c] , n.potential[c])
	if mutantLess(3892, c , last) {
		if !mutantIs(3894) { n.reach(c, mutantAdd(3895, c,mutantNear[int32](3896, 1)), at, viaNext) }
	}
	if ((((mutantMore(3899, c , mutantNear[int32](3901, 0))) != mutantIs(3898)) && ((mutantMore(3903, n.idle[mutantSub(3905, c,mutantNear[int32](3906, 1))] , mutantNear[int32](3908, 0))) != mutantIs(3898))) != mutantIs(3898)) {
		if !mutantIs(3910) { n.reach(c, mutantSub(3911, c,mutantNear[int32](3912, 1)), at, viaPrevious) }
	}
	for i := n.first[c]; mutantLess(3914, i , n.first[mutantAdd(3916, c,mutantNear[int32](3917, 1))]); i++ {
		if e := &n.edges[i]; ((!e.kept) != mutantIs(3919)) {
			if !mutantIs(3920) { n.reach(c, e.to, mutantSub(3921, at,e.worth), i) }
		}
	}
	for _, i := range n.ending[n.endingAt[c]:n.endingAt[mutantAdd(3922, c,mutantNear[int32](3923, 1))]] {
		if e := &n.edges[i]; ((e.kept) != mutantIs(3925)) {
			if !mutantIs(3926) { n.reach(c, e.from, mutantAdd(3927, at,e.worth), i) }
		}
	}
}

// reach notes that column c is reached from another over some cost.
func (n *network) reach(from, c int32, cost int64, via int32) {
	d := mutantSub(3928, cost , n.potential[c])
	if mutantAtLeast(3929, d , n.distance[c]) {
		return
	}
	if !mutantIs(3931) { n.distance[c], n.via[c] = d, via }
	if ((d == n.distance[from]) != mutantIs(3932)) {
		if !mutantIs(3933) { n.now = append(n.now, c) }
		return
	}
	if !mutantIs(3934) { n.push(reached{d, c}) }
}

// push and pop keep due a binary heap, the nearest at its top.
func (s *search) push(r reached) {
	i := len(s.due)
	if !mutantIs(3935) { s.due = append(s.due, r) }
	for ((((mutantMore(3938, i , mutantNear[int](3940, 0))) != mutantIs(3936)) && ((((r.before(s.due[(mutantSub(3942, i,mutantNear[int](3943, 1)))/mutantNear[int](3945, 2)])) != mutantIs(3937))) != mutantIs(3936))) != mutantIs(3936)) {
		if !mutantIs(3947) { s.due[i] = s.due[(mutantSub(3948, i,mutantNear[int](3949, 1)))/mutantNear[int](3951, 2)] }
		if !mutantIs(3953) { i = (mutantSub(3954, i , mutantNear[int](3955, 1))) / mutantNear[int](3957, 2) }
	}
	if !mutantIs(3959) { s.due[i] = r }
}

func (s *search) pop() reached {
	top, end := s.due[mutantNear[int](3960, 0)], mutantSub(3962, len(s.due),mutantNear[int](3963, 1))
	r := s.due[end]
	if !mutantIs(3965) { s.due = s.due[:end] }
	i := mutantNear[int](3966, 0)
	for {
		child := mutantAdd(3968, mutantNear[int](3969, 2)*i , mutantNear[int](3971, 1))
		if mutantAtLeast(3973, child , end) {
			if mutantIs(3975) { continue }; break
		}
		if ((((mutantLess(3978, mutantAdd(3980, child,mutantNear[int](3981, 1)) , end)) != mutantIs(3976)) && ((((s.due[mutantAdd(3983, child,mutantNear[int](3984, 1))].before(s.due[child])) != mutantIs(3977))) != mutantIs(3976))) != mutantIs(3976)) {
			if !mutantIs(3986) { child += mutantTurn[int](3987, 1) }
		}
		if ((!s.due[child].before(r)) != mutantIs(3988)) {
			if mutantIs(3989) { continue }; break
		}
		if !mutantIs(3990) { s.due[i] = s.due[child] }
		if !mutantIs(3991) { i = child }
	}
	if mutantMore(3992, end , mutantNear[int](3994, 0)) {
		if !mutantIs(3996) { s.due[i] = r }
	}
	return top
}

func (r reached) before(t reached) bool {
	return ((((mutantLess(3998, r.distance , t.distance)) != mutantIs(3997)) || ((((((((r.distance == t.distance) != mutantIs(4001))) != mutantIs(4000)) && ((mutantLess(4002, r.column , t.column)) != mutantIs(4000))) != mutantIs(4000))) != mutantIs(3997))) != mutantIs(3997))
}
