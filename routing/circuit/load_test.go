package circuit

import (
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/profiles"
)

func alike(n int, r profiles.Ohms) []profiles.Ohms {
	all := make([]profiles.Ohms, n)
	for i := range all {
		all[i] = r
	}
	return all
}

// 1 kΩ into N × 100 kΩ is flat by so many cents per octave:
// 1200·(1 − 1/(1 + N/100)).
func TestLoadingTable(t *testing.T) {
	for n, want := range map[int]float64{1: 11.881188, 2: 23.529412, 3: 34.951456, 4: 46.153846, 8: 88.888889} {
		now := Load{Source: 1000, Inputs: alike(n, 100_000)}
		require.InDelta(t, -want, Bend(now, now.Calibrated(0)), 1e-6, n)
	}
	four := Load{Source: 1000, Inputs: alike(4, 100_000)}
	require.InDelta(t, -34.61538, Bend(four, four.Calibrated(1)), 1e-5) // the same row: calibrated at 1, then 4
	require.Zero(t, Bend(four, four.Calibrated(4)))
	require.InDelta(t, 23.5294, Bend(Load{Source: 1000, Inputs: alike(2, 100_000)}, four.Calibrated(4)), 1e-4) // two pulled: 1200·(1.04/1.02 − 1), sharp
}

// 100 Ω into inputs of 100 kΩ, six and five more of them than at calibration with one:
// 1200·(1.001/1.007 − 1) = −7.1500 and 1200·(1.001/1.006 − 1) = −5.9642 cents an octave.
func TestMoreInputsThanAtCalibration(t *testing.T) {
	for more, want := range map[int]float64{6: -7.1500, 5: -5.9642} {
		now := Load{Source: 100, Inputs: alike(1+more, 100_000)}
		require.InDelta(t, want, Bend(now, now.Calibrated(1)), 1e-4)
	}
}

// With the resistor inside the loop nothing is lost, whatever hangs on it.
func TestNoResistanceNoLoss(t *testing.T) {
	for n := range 200 {
		l := Load{Source: 0, Inputs: alike(n, 1000)}
		require.Equal(t, 1.0, l.Gain())
		require.Zero(t, Bend(l, l.Calibrated(1)))
		require.Zero(t, Shift(l, l.Calibrated(1)))
	}
}

// With hertz per volt 1200·log2(g(N)/g(Ncal)). log2(1.01/1.04) is
// −0.0422281 (ln 1.01 = 0.00995033, ln 1.04 = 0.03922071, their difference
// −0.02927038 by ln 2 = 0.69314718), so −50.674 cents.
func TestHertzPerVolt(t *testing.T) {
	four := Load{Source: 1000, Inputs: alike(4, 100_000)}
	require.InDelta(t, -50.674, Shift(four, four.Calibrated(1)), 1e-3)
}
