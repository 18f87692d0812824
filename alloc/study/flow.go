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
	slices.SortStableFunc(edges, func(a, b edge) int { return cmp.Compare(a.from, b.from) })
	n := &network{edges: edges, first: make([]int32, columns+2), endingAt: make([]int32, columns+2),
		ending: make([]int32, len(edges)), idle: make([]int32, columns), potential: make([]int64, columns+1),
		search: search{distance: make([]int64, columns+1), via: make([]int32, columns+1)}}
	for _, e := range edges {
		n.first[e.from+1]++
		n.endingAt[e.to+1]++
	}
	for c := range columns + 1 {
		n.first[c+1] += n.first[c]
		n.endingAt[c+1] += n.endingAt[c]
	}
	next := slices.Clone(n.endingAt)
	for i, e := range edges {
		n.ending[next[e.to]] = int32(i)
		next[e.to]++
	}
	// While no voice has set out the ways lead forward only, so one pass finds
	// how cheaply each column is reached.
	for c := range columns {
		n.potential[c+1] = min(n.potential[c+1], n.potential[c])
		for _, e := range edges[n.first[c]:n.first[c+1]] {
			n.potential[e.to] = min(n.potential[e.to], n.potential[c]-e.worth)
		}
	}
	return n
}

// send lets one voice more set out.
func (n *network) send() {
	last := int32(len(n.idle))
	n.find(last)
	for c, d := range n.distance {
		n.potential[c] += min(d, n.distance[last])
	}
	for c := last; c != 0; {
		switch via := n.via[c]; via {
		case viaNext:
			c--
			n.idle[c]++
		case viaPrevious:
			n.idle[c]--
			c++
		default:
			e := &n.edges[via]
			if e.kept = !e.kept; e.kept {
				c = e.from
			} else {
				c = e.to
			}
		}
	}
}

// find looks for the shortest way to the last column (Dijkstra's, on the costs
// that the potentials leave). Columns that are no nearer than the last need
// not be looked at.
func (n *network) find(last int32) {
	for c := range n.distance {
		n.distance[c] = math.MaxInt64
	}
	n.due, n.now = n.due[:0], append(n.now[:0], 0)
	n.distance[0] = 0
	for {
		c := n.nearest()
		if c == last {
			return
		}
		n.look(c, last)
	}
}

// nearest returns the nearest column not looked at yet. There always is one
// short of the last, as a voice may step on from each.
func (n *network) nearest() int32 {
	if top := len(n.now) - 1; top >= 0 {
		c := n.now[top]
		n.now = n.now[:top]
		return c
	}
	for {
		if r := n.pop(); r.distance == n.distance[r.column] {
			return r.column
		}
	}
}

// look follows every way that is left from a column.
func (n *network) look(c, last int32) {
	at := n.distance[c] + n.potential[c]
	if c < last {
		n.reach(c, c+1, at, viaNext)
	}
	if c > 0 && n.idle[c-1] > 0 {
		n.reach(c, c-1, at, viaPrevious)
	}
	for i := n.first[c]; i < n.first[c+1]; i++ {
		if e := &n.edges[i]; !e.kept {
			n.reach(c, e.to, at-e.worth, i)
		}
	}
	for _, i := range n.ending[n.endingAt[c]:n.endingAt[c+1]] {
		if e := &n.edges[i]; e.kept {
			n.reach(c, e.from, at+e.worth, i)
		}
	}
}

// reach notes that column c is reached from another over some cost.
func (n *network) reach(from, c int32, cost int64, via int32) {
	d := cost - n.potential[c]
	if d >= n.distance[c] {
		return
	}
	n.distance[c], n.via[c] = d, via
	if d == n.distance[from] {
		n.now = append(n.now, c)
		return
	}
	n.push(reached{d, c})
}

// push and pop keep due a binary heap, the nearest at its top.
func (s *search) push(r reached) {
	i := len(s.due)
	s.due = append(s.due, r)
	for i > 0 && r.before(s.due[(i-1)/2]) {
		s.due[i] = s.due[(i-1)/2]
		i = (i - 1) / 2
	}
	s.due[i] = r
}

func (s *search) pop() reached {
	top, end := s.due[0], len(s.due)-1
	r := s.due[end]
	s.due = s.due[:end]
	i := 0
	for {
		child := 2*i + 1
		if child >= end {
			break
		}
		if child+1 < end && s.due[child+1].before(s.due[child]) {
			child++
		}
		if !s.due[child].before(r) {
			break
		}
		s.due[i] = s.due[child]
		i = child
	}
	if end > 0 {
		s.due[i] = r
	}
	return top
}

func (r reached) before(t reached) bool {
	return r.distance < t.distance || r.distance == t.distance && r.column < t.column
}
