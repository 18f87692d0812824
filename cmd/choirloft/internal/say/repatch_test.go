package say

import (
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/profiles"
	"choirloft/routing/plan"
)

// planOf returns the plan of a rig under testdata.
func planOf(t testing.TB, file string, o plan.Overrides) *plan.Plan {
	t.Helper()
	data, err := os.ReadFile(demo(file))
	require.NoError(t, err)
	rig, faults := profiles.Read(file, data, os.DirFS(demo("rigs")))
	require.Empty(t, faults)
	p, err := plan.Build(rig, o)
	require.NoError(t, err)
	return p
}

// repatches are all ways between the set-ups of the full rig.
func repatches(t *testing.T) (all []said) {
	p := planOf(t, "rigs/full.yaml", plan.Overrides{})
	for from := range p.Rig.SetUps {
		for to := range p.Rig.SetUps {
			if from != to {
				r := contract.NewRepatch(p, from, to)
				all = append(all, of("repatch "+r.From+" "+r.To, r, Repatch))
			}
		}
	}
	require.NotEmpty(t, all)
	return all
}

// The headline names the wiring with the fewest moves where the rig has another: eight
// against forty in the full rig.
func TestRepatchNamesFewerMoves(t *testing.T) {
	r := repatch{contract.NewRepatch(planOf(t, "rigs/full.yaml", plan.Overrides{}), 0, 1)}
	require.Equal(t, 40, r.Moves)
	require.Contains(t, r.summary(), ". 8 moves by common pitch jack and gate-OR, see Ways to wire the sequencer")
	r.Ways = r.Ways[1:]
	require.Empty(t, r.fewer())
}
