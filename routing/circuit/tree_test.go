package circuit

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/profiles"
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

// Gain error 0.1 % is 1.2 cents per octave, offset 1 mV is 1.2
// cents at 1 V/oct, adding up per level.
func TestBuffersAddUp(t *testing.T) {
	for depth := range 4 {
		b := AssumedBuffers(depth)
		require.InDelta(t, 1.2*float64(depth), b.CentsPerOctave(), 1e-12)
		require.InDelta(t, 1.2*float64(depth), 1200*float64(b.Zero()), 1e-12)
	}
}

// A divider: Vg/(1 + N·Rs/Rin) against the threshold and 20 %. 5 V through
// 1 kΩ into ten inputs of 10 kΩ: 5/(1 + 10·1/10) = 2.5 V; 2.5 V and 20 % are 3 V.
func TestGate(t *testing.T) {
	g := Gate{Volts: 5, Load: Load{1000, alike(10, 10_000)}, Threshold: 2.5}
	require.InDelta(t, 2.5, float64(g.AtInput()), 1e-12)
	require.InDelta(t, 3, float64(g.Wanted()), 1e-12)
}

// Each diode takes 0.7 V (common practice): 5 V − 0.7 V = 4.3 V, two in a row 3.6 V, and never
// less than nothing: 1 V behind two.
func TestDiodes(t *testing.T) {
	for _, c := range []struct {
		volts, want float64
		diodes      int
	}{{5, 4.3, 1}, {5, 3.6, 2}, {1, 0, 2}} {
		require.InDelta(t, c.want, float64(Gate{Volts: profiles.Volts(c.volts), Diodes: c.diodes}.AtInput()), 1e-12)
	}
}
