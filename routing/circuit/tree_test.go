package circuit

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// 20 inputs of 4 outputs, where each multiple more gives 3 outputs more: ⌈19/3⌉ = 7 at
// least; ⌈20/4⌉ + ⌈20/16⌉ + ⌈20/64⌉ = 5 + 2 + 1 = 8 at equal depth.
func TestTrees(t *testing.T) {
	for _, c := range []struct {
		inputs, outs, least int
		levels              []int
	}{
		{1, 4, 1, []int{1}},
		{2, 4, 1, []int{1}},
		{4, 4, 1, []int{1}},
		{5, 4, 2, []int{1, 2}}, // both sides of a full multiple
		{8, 4, 3, []int{1, 2}}, // ⌈7/3⌉
		{16, 4, 5, []int{1, 4}},
		{17, 4, 6, []int{1, 2, 5}}, // ⌈16/3⌉; 5 + 2 + 1
		{20, 4, 7, []int{1, 2, 5}},
		{8, 8, 1, []int{1}},
		{9, 8, 2, []int{1, 2}},
		{4, 2, 3, []int{1, 2}},
	} {
		tree := NewTree(c.inputs, c.outs)
		require.Equal(t, c.least, tree.Least(), "%+v", c)
		require.Equal(t, c.levels, tree.Levels, "%+v", c)
	}
}

// fewest finds by trying everything how many multiples turn one output into so
// many: a multiple takes one of those there are and gives outs.
func fewest(inputs, outs int) int {
	best := map[int]int{1: 0}
	for have := 1; have < inputs; have++ {
		if k, ok := best[have]; ok {
			then := have - 1 + outs
			if old, ok := best[then]; !ok || k+1 < old {
				best[then] = k + 1
			}
		}
	}
	least := math.MaxInt
	for have, k := range best {
		if have >= inputs {
			least = min(least, k)
		}
	}
	return least
}

func TestTreesAgainstTryingEverything(t *testing.T) {
	for outs := 2; outs <= 9; outs++ {
		for inputs := 2; inputs <= 200; inputs++ {
			tree := NewTree(inputs, outs)
			require.Equal(t, fewest(inputs, outs), tree.Least(), "%d of %d", inputs, outs)
			require.GreaterOrEqual(t, tree.Equal(), tree.Least())
			require.Equal(t, 1, tree.Levels[0])
			sum, power := 0, 1 // Σ ⌈N/outs^j⌉ until one is left
			for j := 1; power < inputs; j++ {
				power *= outs
				sum += (inputs + power - 1) / power
			}
			require.Equal(t, sum, tree.Equal(), "%d of %d", inputs, outs)
			for i, n := range tree.Levels { // every level reaches the next
				next := inputs
				if i+1 < len(tree.Levels) {
					next = tree.Levels[i+1]
				}
				require.GreaterOrEqual(t, n*outs, next)
			}
			require.Equal(t, tree.Equal()+inputs, tree.Cables())
		}
	}
}
