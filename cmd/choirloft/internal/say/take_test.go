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

// TestTakeThroughIsVerified: the page of a take through the corrections names the command that
// verifies them, and says why it is longer; that of another one does neither.
func TestTakeThroughIsVerified(t *testing.T) {
	page := takePage{&contract.Take{RigFile: "rig.yaml", Files: []string{"t.mid"}, Through: "corrections", Voices: []contract.TakenVoice{{Name: "K1", BentCents: 200}}}}
	require.Contains(t, page.steps(), "Then run: choirloft tune rig.yaml --take t.mid --wav recording.wav --verify")
	require.Contains(t, page.rest()[2], "That makes the take longer.")
	page = takePage{&contract.Take{RigFile: "rig.yaml", Files: []string{"t.mid"}, Through: "nothing", Voices: []contract.TakenVoice{{Name: "K1"}}}}
	require.Contains(t, page.steps(), "Then run: choirloft tune rig.yaml --take t.mid --wav recording.wav")
	require.Len(t, page.rest(), 2)
}
