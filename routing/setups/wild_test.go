package setups

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"choirloft/profiles"
	"choirloft/profiles/wild"
	"choirloft/routing"
	"choirloft/routing/cables"
)

// drawWild draws rigs that are read without faults and patched in odd ways.
func drawWild(t *rapid.T) *routing.Map {
	rig, faults := profiles.Read("test.yaml", []byte(wild.Rig(t, wild.Small)), nil)
	if len(faults) > 0 {
		t.Skip(faults[0].Message)
	}
	return routing.NewMap(rig)
}

// named holds that no two cables have one name, and that those of interfaces have
// the names of the map, where no gate-OR stands in the way.
func named(t require.TestingT, c *Change) {
	flags := map[string]string{}
	for _, f := range cables.List(c.From.base) {
		flags[f.Jack+" > "+f.To] = f.Name
	}
	pulls, plugs := c.Names()
	for i, names := range [][]string{pulls, plugs} {
		seen := map[string]bool{}
		for j, name := range names {
			require.False(t, seen[name], name)
			seen[name] = true
			x := [][]Cable{c.Pulls, c.Plugs}[i][j]
			if flag := flags[x.From.Panel+" "+x.From.Name+" > "+x.To.Name]; flag != "" {
				require.Equal(t, flag, name)
			}
			require.NotContains(t, name, "cv0")
		}
	}
}

// Whatever a rig says: there and back are the same moves turned round, no cable
// is named twice, and what a sequencer plays has one plug, from it.
func TestLawsOfWildRigs(t *testing.T) {
	read := 0
	rapid.Check(t, func(t *rapid.T) {
		m := drawWild(t)
		read++
		Findings(m)
		from, to := rapid.IntRange(0, 3).Draw(t, "from"), rapid.IntRange(0, 3).Draw(t, "to")
		a, b := New(m, from), New(m, to)
		c, back := Between(a, b), Between(b, a)
		require.Equal(t, c.Moves(), back.Moves())
		all, then := Label(a, b)
		require.Len(t, unique(all), len(all))
		require.Len(t, unique(then), len(then))
		require.Equal(t, len(all)+len(c.Plugs), len(then)+len(c.Pulls))
		Ways(m, from, to)
		named(t, c)

		plugs := map[Jack]int{}
		for _, x := range then {
			plugs[x.To]++
		}
		for in, n := range b.Reaches() {
			if n.Interface == len(m.Rig.Interfaces) { // the sequencer
				require.Equal(t, 1, plugs[Jack{"bank " + m.Rig.Banks[in.Bank].Name, in.Name(m.Rig)}], in.Name(m.Rig))
			}
		}
	})
	require.Positive(t, read)
}
