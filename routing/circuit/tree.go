package circuit

// Tree is a tree of buffered multiples that brings one output to several
// inputs, all of them through the same number of multiples, so that they stray
// alike.
type Tree struct {
	Outs   int // outputs of one multiple, from 2
	Inputs int // to be reached, from 1
	// Levels holds how many multiples there are between output and inputs, the
	// one next to the output first: ⌈N/outs^j⌉ on the j-th level from the inputs.
	Levels []int
}

// NewTree lays out the tree for so many inputs, from 1, of multiples with so
// many outputs, from 2. A single input still gets its one multiple.
func NewTree(inputs, outs int) Tree {
	t := Tree{Outs: outs, Inputs: inputs}
	for n := inputs; n > 1 || len(t.Levels) == 0; {
		n = (n + outs - 1) / outs
		t.Levels = append([]int{n}, t.Levels...)
	}
	return t
}

// Depth is how many multiples stand between the output and each input.
func (t Tree) Depth() int { return len(t.Levels) }

// Equal is how many multiples the tree has.
func (t Tree) Equal() int {
	sum := 0
	for _, n := range t.Levels {
		sum += n
	}
	return sum
}

// Least is the fewest multiples that reach so many inputs if their depths may
// differ: each turns one output into outs, so k of them give 1 + k·(outs−1).
func (t Tree) Least() int { return max(1, (t.Inputs-1+t.Outs-2)/(t.Outs-1)) }

// Cables is how many cables the tree takes: one into each multiple, and one to
// each input.
func (t Tree) Cables() int { return t.Equal() + t.Inputs }
