package say

import (
	"context"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	theory "choirloft/alloc/study/estimate"
	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/routing/plan"
)

// estimates are some of each kind of playing, and of a rig with reserves.
func estimates(t *testing.T) []said {
	if estimated != nil {
		return estimated
	}
	for _, c := range []struct {
		rig, playing string
		o            plan.Overrides
	}{
		{"kiln-yard.yaml", "chords of 4, 2 a second, 0.8 s", plan.Overrides{}},
		{"kiln-yard.yaml", "notes, 2 a second, 1 s", plan.MustParse("--steal", "pad=oldest")},
		{"kiln-yard.yaml", "pad=chords of 3-5, 20 a minute, 3 s, pedal 6 s + arp=notes, 8 a second, 0.1 s, even", plan.Overrides{Unison: plan.Only("arp", 2)}},
		{"rigs/full.yaml", "chords of 3, 1 a second, 1 s", plan.Overrides{}},
	} {
		p := planOf(t, c.rig, c.o)
		how, err := theory.Parse(c.playing)
		require.NoError(t, err)
		m, err := theory.New(p.Rules, how)
		require.NoError(t, err)
		e, err := m.Run(context.Background(), theory.Options{Seed: 1, Length: 5 * time.Minute, Voices: p.InService()})
		require.NoError(t, err)
		estimated = append(estimated, of("size --playing "+c.playing, contract.NewEstimate(p, e, p.InService()), Estimate))
	}
	return estimated
}

// TestShare: as fine as the size of a share asks for.
func TestShare(t *testing.T) {
	for v, want := range map[float64]string{0: "-", 0.00004: "<0.01 %", 0.00006: "0.01 %", 0.0099: "0.99 %", 0.00996: "1.0 %", 0.5: "50.0 %", 1: "100.0 %"} {
		require.Equal(t, want, share(v), "%g", v)
	}
	require.Equal(t, "4.5 ±1.4 %", shareWithin(&contract.PlayedCost{Share: 0.045, StandardError: 0.014}))
	require.Equal(t, "0.57 ±0.42 %", shareWithin(&contract.PlayedCost{Share: 0.0057, StandardError: 0.0042}))
	require.Equal(t, "-", shareWithin(&contract.PlayedCost{}))
}
