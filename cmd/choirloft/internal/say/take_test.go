package say

import (
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/routing/plan"
	"choirloft/routing/take"
)

// takes are the pages of takes, as MIDI and as control voltages.
func takes(t *testing.T) (all []said) {
	for _, cv := range []bool{false, true} {
		made, err := take.New(planOf(t, "kiln-yard.yaml", plan.Overrides{Unison: plan.All(2)}), take.Options{Through: cv})
		require.NoError(t, err)
		page := contract.NewTake(made, "rig.yaml", []string{"take.mid"}, cv)
		page.Left = append(page.Left, "L9")
		all = append(all, of("take", page, Take))
	}
	return all
}
