package routing

import "choirloft/profiles"

// box is an interface while it is being filled.
type box struct {
	cv, gates *bay // one and the same where an output gives either
}

func newBoxes(rig *profiles.Rig) []*box {
	boxes := make([]*box, len(rig.Interfaces))
	for i := range rig.Interfaces {
		f := &rig.Interfaces[i]
		b := &box{cv: newBay(f.Jacks(false), f.Connector)}
		b.gates = b.cv
		if f.Outputs == 0 {
			b.gates = newBay(f.Jacks(true), f.Connector)
		}
		boxes[i] = b
	}
	return boxes
}

func (b *box) bay(gate bool) *bay {
	if gate {
		return b.gates
	}
	return b.cv
}

// either tells whether an output gives a CV or a gate, as wanted.
func (b *box) either() bool { return b.cv == b.gates }

// pairs is how many more voices with a pitch and a gate would fit.
func (b *box) pairs() int {
	if b.either() {
		return b.cv.room() / 2
	}
	return min(b.cv.room(), b.gates.room())
}

// surplus is how many CVs, or gates, are left over when as many pairs as fit
// have been placed.
func (b *box) surplus(gate bool) int {
	if b.either() {
		return b.cv.room() % 2
	}
	return b.bay(gate).room() - b.pairs()
}

// cost ranks what is lost when a CV, or a gate, is taken alone: the lower, the
// better; ok is false where there is none.
func (b *box) cost(gate bool) (rank int, ok bool) {
	switch {
	case b.bay(gate).room() == 0:
		return 0, false
	case !b.either() && b.surplus(gate) > 0:
		return 0, true // nothing: no pair could have used it
	case b.either() && b.surplus(gate) > 0:
		return 1, true // the odd output, good for a CV or a gate
	case b.either():
		return 2, true // a pair, of which an output stays
	}
	return 3, true // a pair, of which the other half stays
}
