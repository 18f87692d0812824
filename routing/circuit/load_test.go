package circuit

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"

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
		now := Load{1000, alike(n, 100_000)}
		require.InDelta(t, -want, Bend(now, now.Calibrated(0)), 1e-6, n)
	}
	four := Load{1000, alike(4, 100_000)}
	require.InDelta(t, -34.61538, Bend(four, four.Calibrated(1)), 1e-5) // the same row: calibrated at 1, then 4
	require.Zero(t, Bend(four, four.Calibrated(4)))
	require.InDelta(t, 23.5294, Bend(Load{1000, alike(2, 100_000)}, four.Calibrated(4)), 1e-4) // two pulled: 1200·(1.04/1.02 − 1), sharp
}

// 100 Ω into inputs of 100 kΩ, six and five more of them than at calibration with one:
// 1200·(1.001/1.007 − 1) = −7.1500 and 1200·(1.001/1.006 − 1) = −5.9642 cents an octave.
func TestMoreInputsThanAtCalibration(t *testing.T) {
	for more, want := range map[int]float64{6: -7.1500, 5: -5.9642} {
		now := Load{100, alike(1+more, 100_000)}
		require.InDelta(t, want, Bend(now, now.Calibrated(1)), 1e-4)
	}
}

// With the resistor inside the loop nothing is lost, whatever hangs on it.
func TestNoResistanceNoLoss(t *testing.T) {
	for n := range 200 {
		l := Load{0, alike(n, 1000)}
		require.Equal(t, 1.0, l.Gain())
		require.Zero(t, Bend(l, l.Calibrated(1)))
		require.Zero(t, Shift(l, l.Calibrated(1)))
	}
}

// With hertz per volt 1200·log2(g(N)/g(Ncal)). log2(1.01/1.04) is
// −0.0422281 (ln 1.01 = 0.00995033, ln 1.04 = 0.03922071, their difference
// −0.02927038 by ln 2 = 0.69314718), so −50.674 cents.
func TestHertzPerVolt(t *testing.T) {
	four := Load{1000, alike(4, 100_000)}
	require.InDelta(t, -50.674, Shift(four, four.Calibrated(1)), 1e-3)
}

// nodal solves a circuit by nodal analysis: G·v = i. Node 0 is the output
// behind its resistance, and each input hangs on it by a length of cable that
// has a resistance, so that there are as many further nodes.
func nodal(volts, source, cable float64, inputs []profiles.Ohms) []float64 {
	n := len(inputs) + 1
	g := mat.NewDense(n, n, nil)
	i := mat.NewVecDense(n, nil)
	add := func(a, b int, siemens float64) { g.Set(a, b, g.At(a, b)+siemens) }
	add(0, 0, 1/source)
	i.SetVec(0, volts/source)
	for k, r := range inputs {
		add(0, 0, 1/cable)
		add(k+1, k+1, 1/cable+1/float64(r))
		add(0, k+1, -1/cable)
		add(k+1, 0, -1/cable)
	}
	var v mat.VecDense
	if err := v.SolveVec(g, i); err != nil {
		panic(err)
	}
	return v.RawVector().Data
}

// Kirchhoff's current law, solved by gonum/mat (v0.17.0), gives the same volts
// at every input as the formula. The cables have a milliohm, which the formula
// leaves out: it changes less than 1e-6 of inputs from 1 kΩ up.
func TestLoadAgainstNodalAnalysis(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		source := rapid.Float64Range(1, 100_000).Draw(t, "source")
		var inputs []profiles.Ohms
		for _, r := range rapid.SliceOfN(rapid.Float64Range(1e3, 1e7), 1, 8).Draw(t, "inputs") {
			inputs = append(inputs, profiles.Ohms(r))
		}
		volts := rapid.Float64Range(-10, 10).Draw(t, "volts")
		want := volts * Load{profiles.Ohms(source), inputs}.Gain()
		for k, v := range nodal(volts, source, 1e-3, inputs)[1:] {
			require.InDelta(t, want, v, 1e-5, fmt.Sprint(k))
		}
	})
}
