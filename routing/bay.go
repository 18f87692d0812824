package routing

import "slices"

// bay is the jacks of one kind on an interface: its CVs, its gates, or outputs
// that give either. Jacks count from 1.
type bay struct {
	connector int
	taken     []bool // jack n at n−1
	free      int
	held      int // free jacks that are kept for the other half of pinned voices
	front     int // the last jack that banks went up to, 0 for none

	orders [2][]int // in which lanes and macros look for a jack; nil until one does
}

func newBay(jacks, connector int) *bay {
	return &bay{connector: connector, taken: make([]bool, jacks), free: jacks}
}

// order is that in which a lane of a bank, or a macro, looks for a jack.
func (b *bay) order(macro bool) []int {
	if b.orders[0] == nil {
		b.orders[0], b.orders[1] = sharedOrders(len(b.taken))
	}
	if macro {
		return b.orders[1]
	}
	return b.orders[0]
}

// room is how many jacks there are for what is not pinned.
func (b *bay) room() int { return max(0, b.free-b.held) }

// take marks a jack as used. It may be used already: pins and wires that hold
// one jack twice are a finding, not a reason to stop.
func (b *bay) take(jack int) {
	if !b.taken[jack-1] {
		b.taken[jack-1] = true
		b.free--
	}
}

// lowest is the lowest free jack, 0 if there is none.
func (b *bay) lowest() int { return slices.Index(b.taken, false) + 1 }

// first is the first free jack in that order, 0 if there is none.
func (b *bay) first(order []int) int {
	for _, jack := range order {
		if !b.taken[jack-1] {
			return jack
		}
	}
	return 0
}

// untaken lists the free jacks.
func (b *bay) untaken() (jacks []int) {
	for i, taken := range b.taken {
		if !taken {
			jacks = append(jacks, i+1)
		}
	}
	return jacks
}

// block looks above the front for the jacks of a bank: the lowest free ones on
// one connector, or, for a bank larger than a connector, the lowest free ones.
// It takes none. ok is false where they are not there.
func (b *bay) block(n int) (jacks []int, ok bool) {
	if n == 0 {
		return nil, true
	}
	for jack := b.front + 1; jack <= len(b.taken); jack++ {
		if n <= b.connector && (jack-1)%b.connector == 0 {
			jacks = jacks[:0] // the bank would lie across two connectors
		}
		if !b.taken[jack-1] {
			jacks = append(jacks, jack)
		}
		if len(jacks) == n {
			return jacks, true
		}
	}
	return nil, false
}

// sharedOrders returns the orders in which lanes of banks and macros look for
// a jack among so many. In the upper half of the jacks, from the last
// downward, of every eight jacks the second, fourth and sixth are homes of
// macros and the other five are homes of lanes. Each fills its own homes
// first, then those of the others, the least wanted first, then the lower
// half from above.
//
// Why not one row, the lanes and then the macros? Because a file says how many
// there are and not in what order they came. In one row, the lane of a further
// bank would push the macros down.
func sharedOrders(jacks int) (lanes, macros []int) {
	var below []int
	for jack := jacks; jack >= 1; jack-- {
		switch place := (jacks - jack) % 8; {
		case jack <= jacks/2:
			below = append(below, jack)
		case place == 1 || place == 3 || place == 5:
			macros = append(macros, jack)
		default:
			lanes = append(lanes, jack)
		}
	}
	return slices.Concat(lanes, reversed(macros), below), slices.Concat(macros, reversed(lanes), below)
}

func reversed(jacks []int) []int {
	jacks = slices.Clone(jacks)
	slices.Reverse(jacks)
	return jacks
}
