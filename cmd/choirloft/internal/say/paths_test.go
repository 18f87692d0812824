package say

import (
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/contract"
)

// A row is for neighbours of a bank that may stray alike: here K1 hangs on a
// multiple with K2, K3 is measured, K4 is not.
func TestStray(t *testing.T) {
	c := chartOf(t, `
interfaces: {main: {profile: cv8-gate8, output_resistance: 1 kohm}}
banks: {K: {voices: 4}, L: {voices: 1}}
wiring: [{from: main.cv 1, through: passive, to: [K1.pitch, K2.pitch]}]
corrections: {K3: {residual: 0.5 cents}}
`)
	table := c.stray()
	require.Len(t, table.Groups, 1)
	// 1200·(1.01/1.02 − 1) = −11.76 cents an octave, by 5; 6 and 2.4 cents of gain and offset, and 4 steps
	// of 0.0916; 3 cents an octave from key 60; 3.29 times 2 cents of drift. Of K3 nobody says how many readings
	// there were, so five: t(0.9995, 3) = 12.924 by 0.5·√(1 + 1/5 + 2.5²/15.625) = 0.632
	require.Equal(t, [][]string{
		{"K1-K2", "C7 (96)", "<0.1*", "8.8*", "58.8*", "9.0*", "-", "6.6*", "69.9", "83.2", "* assumed"},
		{"K3", "C2 (36)", "<0.1*", "-", "-", "-", "8.2*", "6.6*", "4.4", "10.5", "* assumed"},
		{"K4", "C7 (96)", "<0.1*", "8.8*", "-", "9.0*", "-", "6.6*", "12.7", "24.4", "* assumed"},
		{"L1", "C7 (96)", "<0.1*", "8.8*", "-", "9.0*", "-", "6.6*", "12.7", "24.4", "* assumed"},
	}, table.Groups[0].Rows)
	require.Equal(t, []string{"main cv 1 reaches K1.pitch and K2.pitch through a passive multiple: 98.0 % of its volts arrive."}, c.pathLines())
}

// Five inputs behind multiples with eight outputs take one. Nine behind those
// with four outputs take ⌈9/4⌉ = 3 at equal depth and one before them; at
// unequal depth ⌈(9 − 1)/(4 − 1)⌉ = 3 would do, as each adds three outputs.
func TestPathLines(t *testing.T) {
	c := chartOf(t, `
interfaces: {main: {profile: cv16-gate16}}
banks: {K: {voices: 5}, L: {voices: 9}}
wiring: [{from: main.cv 1, through: buffered 8, to: K.pitch}, {from: main.cv 2, through: buffered 4, to: L.pitch}]
`)
	require.Equal(t, []string{
		"main cv 1 reaches K1.pitch, K2.pitch, K3.pitch, K4.pitch and K5.pitch through 1 buffered multiple in 1 level.",
		"main cv 2 reaches L1.pitch, L2.pitch, L3.pitch, L4.pitch, L5.pitch, L6.pitch, L7.pitch, L8.pitch and 1 more " +
			"through 4 buffered multiples in 2 levels (3 would do at unequal depth).",
	}, c.pathLines())
}

// Main's middle is 10 HP from the left of row 1, K's 25: 1.25·15·5.08 + 60 =
// 155 mm for what is common to the bank; its voices are at 22.5 and 27.5 HP, so
// 139 and 171 mm.
func TestCables(t *testing.T) {
	const bought = "5 cables to buy, audio cables not counted."
	lines := func(c *chart) (all []string) {
		for _, x := range c.cables().Items {
			all = append(all, x.Text)
		}
		return all
	}
	c := chartOf(t, `
interfaces: {main: {profile: cv8-gate8, row: 1, hp: 20}}
banks: {K: {voices: 2, row: 1, hp: 10, lanes: [cutoff]}}
`)
	require.Equal(t, []string{bought, "Colours by bank: K brown.", "15 cm: 2 brown (1 pitch, 1 gate)", "30 cm: 3 brown (1 pitch, 1 gate, 1 control)"}, lines(c))
	require.InDelta(t, 155.25, *c.Cables[2].LengthMM, 1e-9)
	require.Equal(t, 30, *c.Cables[2].StockCM)

	unknown := chartOf(t, "interfaces: {main: {profile: cv8-gate8}}\nbanks: {K: {voices: 1}}\n")
	require.Equal(t, []string{
		"2 cables to buy, audio cables not counted.",
		"Colours by bank: K brown.",
		"length not known: 2 brown (1 pitch, 1 gate)",
		"For lengths, give row and hp of interfaces and banks, and of everything to their left.",
	}, lines(unknown))
	require.Nil(t, unknown.Cables[0].LengthMM)
	require.Empty(t, lines(chartOf(t, "banks: {K: {voices: 1}}\n")))
}

// From row 1 to row 12 it is eleven rows of 3 U, of 44.45 mm each: 1467 mm, and
// with the slack of a quarter more than the 150 cm that are the longest in stock.
func TestCablePastTheLongest(t *testing.T) {
	c := chartOf(t, "rack: {hp: 104}\ninterfaces: {main: {profile: cv8-gate8, row: 1, hp: 4}}\nbanks: {K: {voices: 1, row: 12, hp: 20}}\n")
	require.Equal(t, "over 150 cm: 2 brown (1 pitch, 1 gate)", c.cables().Items[2].Text)
	require.Equal(t, 150, *c.CablesToBuy[0].OverCM)
}

// TestTuningErrorsRestOn: what is assumed of some voices is not hidden by one that
// was measured, and how far it moves the answer is said. At C7 gain and offset are 6 + 2.4 cents and
// 4 steps of 0.0916, tracking is three octaves of 3 cents, and drift 3.29 by 2 cents. Of K1 six
// readings leave 0.4·√(1 + 1/6 + 2.5²/17.5) = 0.494, by t(0.9995, 4) = 8.610: 4.3. Two days 0.9 cents apart make
// √((4·2² + 2·0.81)/5) = 1.877 of the drift of its kind, by t(0.9995, 5) = 6.869: 12.9.
func TestTuningErrorsRestOn(t *testing.T) {
	const readings = "readings: [0 V, 1 V, 2 V, 3 V, 4 V, 5 V]"
	line := func(text string) string {
		return chartOf(t, "interfaces: {main: {profile: cv8-gate8}}\n"+text).restLine()
	}
	require.Equal(t, "Tuning error likely within 12.7 cents, at worst 24.4 cents, part of it assumed: K1 at C7 (96). "+
		"Rests on, in cents: interface 8.8, tracking 9.0 and drift 6.6 (assumed). Without what is assumed: 0 cents.", line("banks: {K: {voices: 4}}\n"))
	require.Contains(t, line("banks: {K: {voices: 4}}\ncorrections: {K1: {residual: 0.4 cents, drift: 0.9 cents, "+readings+"}}\n"),
		"Rests on, in cents: interface 8.8 and tracking 9.0 (assumed). And on: calibration 4.3 and drift 12.9 (measured). Without what is assumed: 13.6 cents.")
	// what moves nothing that is printed does not make the rest assumed, and few days are named
	two := line("banks: {K: {voices: 1}}\ncorrections: {K1: {residual: 0.4 cents, drift: 0.9 cents, " + readings + "}}\n")
	require.NotContains(t, two, "assumed")
	require.Contains(t, two, "Drift was measured on 2 days: so few days leave it uncertain, and each further day narrows it.")
	require.NotContains(t, line("banks: {K: {voices: 1}}\ncorrections: {K1: {residual: 0.4 cents, drift: 0.9 cents, days: 10, "+readings+"}}\n"), "so few")
	require.Contains(t, line("banks: {K: {voices: 4, kind: v}}\nvoices: {v: {drift: 1 cents}}\n"), "And on: drift 3.3 (from the rig, not measured).")
	require.Contains(t, line("banks: {K: {voices: 4, kind: v}}\nvoices: {v: {drift: 1 cents, measured: [drift]}}\n"), "And on: drift 3.3 (measured).")
	require.Contains(t, line("banks: {K: {voices: 4}}\ncorrections: {K1: {residual: 0.4 cents, "+readings+"}}\n"), "Drift not measured, so assumed: K1.")
	wired := "banks: {K: {voices: 2}}\nwiring: [{from: main.cv 1, through: passive, to: [K1.pitch, K2.pitch], calibrated_with: 1}]\n"
	require.Regexp(t, `Rests on, in cents: interface 8.8, load [0-9.]+, tracking`, line(wired))
	require.Contains(t, chartOf(t, "interfaces: {main: {profile: audio-dc8}}\nbanks: {K: {voices: 2}}\n").restLine(),
		"Tuning error not known before it is measured: K1, K2.")
}

// TestLevelsRestOn: each value under levels says whether the rig gives it.
func TestLevelsRestOn(t *testing.T) {
	volts, decibels := 10.0, -6.0
	l := &contract.Levels{Shape: "saw", RestsOn: []contract.LevelValue{{Key: "voice", Value: &volts, Unit: "Vpp", Source: contract.FromRig},
		{Key: "shape", Source: contract.Assumed}, {Key: "submix", Value: &decibels, Unit: "dB", Source: contract.Assumed}}}
	require.Equal(t, "Rests on: voice 10.0 Vpp (from the rig, not measured); shape saw and submix -6.0 dB (assumed). "+
		"Each dB more of voice, submix or main is a dB less headroom.", levelRest(l))
}
