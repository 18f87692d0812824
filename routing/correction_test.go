package routing

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/routing/detune"
)

// The volts and cents below are written out from V = ideal · scale + offset
// and 1 mV = 1.2 cents at 1 V/oct.
func TestCorrections(t *testing.T) {
	m := mapOf(t, `interfaces: {main: {profile: cv16-gate16, window: 0 V to 5 V, zero_key: 36}}
banks: {K: {voices: 3}}
corrections:
  K2: {offset: -1.2 mV, scale: 1.0021, measured: 2026-11-02, residual: 0.3 cents}
  K3: {points: {4 V: 5 mV, 0 V: -1 mV, 2 V: 3 mV}}
`)
	all := Corrections(m.Rig)
	require.Len(t, all, 3)
	f := &m.Rig.Interfaces[0]
	cents := func(voice int, key float64) float64 { return CorrectionCents(f, m.Rig.A4, &all[voice], key) }

	require.True(t, all[0].Pos.IsZero())
	require.Nil(t, all[0].Residual)
	require.Zero(t, cents(0, 60))
	require.Zero(t, cents(0, 60.37))

	// key 60: 2 V · 1.0021 − 0.0012 V = 2.0030 V, 3 mV more: 3.6 cents
	require.InDelta(t, 2.0030, float64(CorrectedVolts(f, m.Rig.A4, &all[1], 60)), 1e-12)
	require.InDelta(t, 3.6, cents(1, 60), 1e-9)
	require.InDelta(t, 60.036, CorrectedPitch(f, m.Rig.A4, &all[1], 60), 1e-9)
	require.InDelta(t, -1.44, cents(1, 36), 1e-9) // the offset alone

	// between 0 V (−1 mV) and 2 V (3 mV) lies 1 mV at 1 V; beyond the last, as there
	require.InDelta(t, -1.2, cents(2, 36), 1e-9)
	require.InDelta(t, 1.2, cents(2, 48), 1e-9)
	require.InDelta(t, 3.6, cents(2, 60), 1e-9)
	require.InDelta(t, 6, cents(2, 84), 1e-9)
	require.InDelta(t, 6, cents(2, 96), 1e-9)
	require.InDelta(t, -1.2, cents(2, 24), 1e-9)
}

// With hertz per volt 1 mV more at 2 V is 1200·log2(2.001/2) = 0.865 cents.
func TestCorrectionsInHertzPerVolt(t *testing.T) {
	m := mapOf(t, `interfaces: {main: {profile: cv16-gate16, window: 0 V to 8 V, scale: 261.63 Hz at 2 V}}
banks: {K: {voices: 1}}
corrections: {K1: {offset: 1 mV}}
`)
	all := Corrections(m.Rig)
	key := PitchAt(&m.Rig.Interfaces[0], m.Rig.A4, 2)
	require.InDelta(t, 0.86541, CorrectionCents(&m.Rig.Interfaces[0], m.Rig.A4, &all[0], key), 1e-5)
	require.InDelta(t, 2.001, float64(CorrectedVolts(&m.Rig.Interfaces[0], m.Rig.A4, &all[0], key)), 1e-12)
}

// The scatter of a stack is that of its worst voice, √(remains² + drift² +
// rounding²), and assumed as long as anything of that voice is. The remains are those at
// the middle of six readings: residual·√(1 + 1/6). Drift is pooled over the kind.
func TestScatterIsMeasured(t *testing.T) {
	const wall = `
interfaces: {main: {profile: cv16-gate16, bits: 24, gain_error: 0 %, offset_error: 0 mV, nonlinearity: 0}}
voices: {k: {profile: saw-lowpass, tracking: 0 cents}}
banks: {K: {voices: 2, kind: k}}
parts: {p: {unison: {voices: 2, spread: 2.4 cents}}}
`
	warned := func(corrections string) (limit float64, assumed bool) {
		text := wall + strings.ReplaceAll(corrections, "cents}", "cents, readings: [0 V, 1 V, 2 V, 3 V, 4 V, 5 V]}")
		m := mapOf(t, text)
		for _, w := range m.Unisons[0].Warnings {
			if w.Code == detune.MaySwap {
				return float64(w.Limit), w.Assumed
			}
		}
		return 0, false
	}
	limit, assumed := warned("")
	require.InDelta(t, 4, limit, 0.01) // twice the 2 cents of drift that a kind has by default
	require.True(t, assumed)

	// two changes of variance 2·0.4² and 2·1.6²: (4·2² + 5.44)/6 = 3.57333; 1.2²·7/6 = 1.68
	limit, assumed = warned("corrections: {K1: {residual: 0.3 cents, drift: 0.4 cents}, K2: {residual: 1.2 cents, drift: 1.6 cents}}\n")
	require.InDelta(t, 2*math.Sqrt(3.57333+1.68), limit, 0.001)
	require.False(t, assumed)

	// K2 was measured once: the drift of K1 counts for it: (4·2² + 0.32)/5 = 3.264
	limit, assumed = warned("corrections: {K1: {residual: 0.3 cents, drift: 0.4 cents}, K2: {residual: 0.4 cents}}\n")
	require.InDelta(t, 2*math.Sqrt(3.264+0.16*7/6), limit, 0.001)
	require.False(t, assumed)

	// both measured on one day alone: their drift is assumed
	limit, assumed = warned("corrections: {K1: {residual: 0.3 cents}, K2: {residual: 0.4 cents}}\n")
	require.InDelta(t, 2*math.Sqrt(4+0.16*7/6), limit, 0.001)
	require.True(t, assumed)

	// both steady on 30 days: (4·2² + 58·0.32)/62 = 0.55742, and 2·√(0.55742 + 0.3²·7/6) = 1.63
	// is less than the gap of 2.4 cents
	limit, _ = warned("corrections: {K1: {residual: 0.3 cents, days: 30, drift: 0.4 cents}, K2: {residual: 0.3 cents, days: 30, drift: 0.4 cents}}\n")
	require.Zero(t, limit)
}
