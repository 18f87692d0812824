package figures

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/profiles"
	"choirloft/profiles/unit"
	"choirloft/routing/plan"
)

// The sentence above a curve of pitch says the key at which the curve is highest, and how high.
func TestPitchSaysWhatItShows(t *testing.T) {
	rig, err := profiles.Load(testdata + "kiln-yard.yaml")
	require.NoError(t, err)
	p, err := plan.Build(rig, plan.Overrides{})
	require.NoError(t, err)
	for voice := range 5 {
		r := contract.NewPitch(p, voice)
		most := math.Inf(-1)
		for _, s := range r.Curve {
			most = max(most, *s.WorstCents)
		}
		picture := Pitch(r, 273, 170)
		require.Contains(t, picture.Title, r.Voice+" is likely within ")
		require.Contains(t, picture.Title, ", at worst "+unit.Cents(most)+", at "+contract.KeyName(r.Budget.AtKey, r.MiddleC)+" (")
		require.Contains(t, svg(picture), ">"+picture.Title+"<")
		for _, s := range r.Curve {
			if s.Key == r.Budget.AtKey {
				require.InDelta(t, most, *s.WorstCents, 1e-9)
			}
		}
	}
}
