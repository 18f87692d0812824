package setups

import (
	"fmt"
	"slices"
)

// labelled is a multiple with the number it goes by, and its outputs.
type labelled struct {
	*multiple
	number int
	outs   map[Jack]int // from 1
}

// Label lists the cables of two patches, and gives numbers to multiples and
// their outputs so that as many cables as can be are in both.
//
// An input is in one multiple of a patch at most. So what a multiple of one
// patch has in common with one of the other does not depend on the rest, and
// who is whose partner is an assignment of greatest weight.
func Label(a, b *Patch) (from, to []Cable) {
	old, then := labelBoth(a, b)
	return listed(a.cables, old), listed(b.cables, then)
}

// labelBoth numbers the multiples of two patches.
func labelBoth(a, b *Patch) (old, then []labelled) {
	partner := assign(weights(a.multiples, b.multiples), len(b.multiples))
	old, then = make([]labelled, len(a.multiples)), make([]labelled, len(b.multiples))
	for i := range old {
		old[i] = labelled{&a.multiples[i], i + 1, numbered(a.multiples[i].inputs, nil)}
		if j := partner[i]; j >= 0 && alike(&a.multiples[i], &b.multiples[j]) {
			then[j] = labelled{&b.multiples[j], i + 1, numbered(b.multiples[j].inputs, old[i].outs)}
		}
	}
	next := len(old)
	for j := range then {
		if then[j].multiple == nil {
			next++
			then[j] = labelled{&b.multiples[j], next, numbered(b.multiples[j].inputs, nil)}
		}
	}
	return old, then
}

// weights is what multiples have in common, and beside that a little for having
// a partner at all: one that is there already need not be fetched.
func weights(a, b []multiple) [][]int {
	scale := min(len(a), len(b)) + 1
	weight := make([][]int, len(a))
	for i := range weight {
		weight[i] = make([]int, len(b))
		for j := range weight[i] {
			weight[i][j] = -1
			if alike(&a[i], &b[j]) {
				weight[i][j] = scale*common(&a[i], &b[j]) + 1
			}
		}
	}
	return weight
}

// alike tells whether one multiple can serve as another.
func alike(x, y *multiple) bool { return x.through == y.through && x.outs == y.outs }

// common counts the cables that two multiples have in common if they are one:
// into it, out of it, and between linked ones.
func common(x, y *multiple) int {
	n := min(x.units, y.units) - 1
	if x.feed == y.feed {
		n++
	}
	for _, in := range x.inputs {
		if slices.Contains(y.inputs, in) {
			n++
		}
	}
	return n
}

// numbered gives outputs to inputs: the ones they had, else the lowest free.
func numbered(inputs []Jack, had map[Jack]int) map[Jack]int {
	outs, taken := map[Jack]int{}, map[int]bool{}
	for _, in := range inputs {
		if n := had[in]; n > 0 {
			outs[in], taken[n] = n, true
		}
	}
	next := 1
	for _, in := range inputs {
		if outs[in] > 0 {
			continue
		}
		for taken[next] {
			next++
		}
		outs[in], taken[next] = next, true
	}
	return outs
}

// listed are the cables of a patch, multiples included.
func listed(direct []Cable, multiples []labelled) []Cable {
	all := slices.Clone(direct)
	for _, m := range multiples {
		panel := fmt.Sprintf("multiple %d", m.number)
		all = append(all, Cable{m.feed, Jack{panel, "in"}})
		for unit := 2; unit <= m.units; unit++ {
			all = append(all, Cable{Jack{panel, fmt.Sprintf("link %d", unit-1)}, Jack{panel, fmt.Sprintf("unit %d", unit)}})
		}
		for _, in := range m.inputs {
			all = append(all, Cable{Jack{panel, fmt.Sprintf("out %d", m.outs[in])}, in})
		}
	}
	return all
}
