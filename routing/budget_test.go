package routing

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// The demo: 5 V by 2^16 steps is 0.0763 mV or 0.09155 cents (half of the
// 10·1200/65536 = 0.183105 of 10 V), half of which is 0.04578; drift 2 cents, taken to 4;
// one input of 100 kΩ as at calibration, nothing between.
func TestBudgetOfTheDemo(t *testing.T) {
	b := demoMap(t).Voices[0].Budget
	require.InDelta(t, 0.183105/4, float64(b.Step.Worst), 1e-6)
	require.InDelta(t, 0.183105/4/math.Sqrt(3), float64(b.Step.Sigma), 1e-6)
	require.Equal(t, Stray{4, 2, true}, b.Drift)
	require.Zero(t, b.Loading)
	require.Zero(t, b.Buffers.Worst)
	require.Zero(t, b.Calibration)
	require.InDelta(t, 4+0.045776, float64(b.Worst()), 1e-6)
	require.InDelta(t, math.Hypot(2, 0.026429), float64(b.RMS()), 1e-6)
	require.True(t, b.Assumed())
}

const budgetRig = `
interfaces: {main: {profile: cv8-gate8, output_resistance: 1 kohm, bits: 12, window: 0 V to 10 V}}
voices: {k: {pitch_resistance: 100 kohm, drift: 1 cents}}
banks: {K: {voices: 4, kind: k}}
corrections: {K1: {residual: 0.5 cents}}
`

// Written out: 10·1200/4096 = 2.929688 cents a step, half 1.464844. Loading
// 1200·(1.01/1.04 − 1) = −34.61538 cents per octave over the keys 36–127, of which
// 127 lies (127 − 36)/12 = 7.58333 octaves up: 262.5. Residual 0.5, taken to 1;
// drift 1, taken to 2.
func TestBudgetOfALoadedVoice(t *testing.T) {
	m := mapOf(t, budgetRig+"wiring: [{from: main.cv 1, through: passive, to: K.pitch}]\n")
	b := m.Voices[0].Budget
	require.InDelta(t, 1.464844, float64(b.Step.Worst), 1e-6)
	require.InDelta(t, 34.61538*91/12, float64(b.Loading.Worst), 1e-3)
	require.False(t, b.Loading.Assumed) // both resistances are given
	require.Equal(t, Stray{1, 0.5, false}, b.Calibration)
	require.Equal(t, Stray{2, 1, false}, b.Drift)
	require.InDelta(t, 1.464844+34.61538*91/12+1+2, float64(b.Worst()), 1e-3)
	require.InDelta(t, math.Sqrt(math.Pow(1.464844/math.Sqrt(3), 2)+math.Pow(34.61538*91/12, 2)+0.25+1), float64(b.RMS()), 1e-3)
	require.Zero(t, m.Voices[1].Budget.Calibration)
}

// 0.1 % is 1.2 cents per octave and 1 mV is 1.2 cents, a level, adding up. Four voices
// of multiples with two outputs take two levels: 2·(1.2·91/12 + 1.2).
func TestBudgetThroughBuffers(t *testing.T) {
	m := mapOf(t, budgetRig+"wiring: [{from: main.cv 1, through: buffered 2, to: K.pitch}]\n")
	b := m.Voices[0].Budget
	require.InDelta(t, 2*(1.2*91/12+1.2), float64(b.Buffers.Worst), 1e-9)
	require.Zero(t, b.Loading.Worst) // one input hangs on the jack, as at calibration
	require.True(t, b.Assumed())
}

// With hertz per volt an offset tells most where the volts are least, and a
// load moves all keys alike: −50.674 cents (routing/circuit has the sum).
func TestBudgetInHertzPerVolt(t *testing.T) {
	const rig = "interfaces: {main: {profile: cv8-gate8, output_resistance: 1 kohm, window: 0.1 V to 8 V, scale: 261.63 Hz at 1 V}}\nbanks: {K: {voices: 4}}\n"
	m := mapOf(t, rig+"wiring: [{from: main.cv 1, through: passive, to: K.pitch}]\n")
	require.InDelta(t, 50.674, float64(m.Voices[0].Budget.Loading.Worst), 1e-3)
	m = mapOf(t, rig+"wiring: [{from: main.cv 1, through: buffered 4, to: K.pitch}]\n")
	// the lowest key at or above 26.163 Hz is 21 (27.5 Hz: 440/16): 27.5/261.63 = 0.105110 V,
	// and 1200·log2(1 + 0.001 + 0.001/0.105110) = 18.108
	require.InDelta(t, 1200*math.Log2(1.001+0.001/0.105110), float64(m.Voices[0].Budget.Buffers.Worst), 1e-2)
}

// Volts that are never rounded still leave drift; a voice without a jack has no
// budget.
func TestNoBudgetWithoutAJack(t *testing.T) {
	m := mapOf(t, "interfaces: {main: {cv: 1, gates: 1}}\nbanks: {K: {voices: 2}}\n")
	require.NotNil(t, m.Voices[0].Budget)
	require.Nil(t, m.Voices[1].Budget)
}

// Neighbours that come through different buffers scatter by these too: with 4
// cents between neighbours and drift 1 the order is safe (2σ = 2), and with a
// level of buffers that may be 1.2·91/12 + 1.2 = 10.3 cents off it is not.
func TestBuffersBlurADetune(t *testing.T) {
	const part = "parts: {p: {unison: {voices: 2, spread: 4 cents}}}\n"
	require.NotContains(t, mapOf(t, budgetRig+part).codes(), MaySwap)
	m := mapOf(t, budgetRig+part+"wiring: [{from: main.cv 1, through: buffered 4, to: K.pitch}]\n")
	swap := m.only(t, MaySwap)
	require.True(t, swap.Assumed)
	sigma := math.Sqrt(1 + math.Pow((1.2*91/12+1.2)/math.Sqrt(3), 2) + 0.25)
	require.Contains(t, swap.Text, "4.0 cents")
	require.InDelta(t, sigma, float64(m.Voices[0].Budget.RMS()), 0.1) // less the rounding
}

// At 1.2 V an octave 1 mV is a cent, not 1.2; gain errors and loads are shares,
// and the same cents an octave. 6 V are the five octaves of keys 36–96.
func TestBudgetAtAnotherScale(t *testing.T) {
	const rig = "interfaces: {main: {profile: cv8-gate8, output_resistance: 1 kohm, window: 0 V to 6 V, scale: 1.2 V/oct}}\nbanks: {K: {voices: 4}}\n"
	m := mapOf(t, rig+"wiring: [{from: main.cv 1, through: passive, to: K.pitch}]\n")
	require.InDelta(t, 5*34.61538, float64(m.Voices[0].Budget.Loading.Worst), 1e-3)
	m = mapOf(t, rig+"wiring: [{from: main.cv 1, through: buffered 4, to: K.pitch}]\n")
	require.InDelta(t, 5*1.2+1, float64(m.Voices[0].Budget.Buffers.Worst), 1e-9)
	// 6 V by 2^16 steps, 1200 cents to 1.2 V: half of 0.0915527
	require.InDelta(t, 6.0/65536*1000/2, float64(m.Voices[0].Budget.Step.Worst), 1e-9)
}
