package routing

import (
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

// The scatter of a stack is that of its worst voice, √(residual² + drift² +
// rounding²), and assumed as long as that voice's drift is.
func TestScatterIsMeasured(t *testing.T) {
	const wall = `
interfaces: {main: {profile: cv16-gate16, bits: 24}}
banks: {K: {voices: 2}}
parts: {p: {unison: {voices: 2, spread: 2.4 cents}}}
`
	warned := func(text string) (limit float64, assumed bool) {
		m := mapOf(t, text)
		for _, w := range m.Unisons[0].Warnings {
			if w.Code == detune.MaySwap {
				return float64(w.Limit), w.Assumed
			}
		}
		return 0, false
	}
	limit, assumed := warned(wall)
	require.InDelta(t, 4, limit, 0.01) // twice the 2 cents of drift that a kind has by default
	require.True(t, assumed)

	// K1 strays by 0.5 cents, so K2, by √(1.2² + 1.6²) = 2: twice 2 again, but measured
	limit, assumed = warned(wall + "corrections: {K1: {residual: 0.3 cents, drift: 0.4 cents}, K2: {residual: 1.2 cents, drift: 1.6 cents}}\n")
	require.InDelta(t, 4, limit, 0.01)
	require.False(t, assumed)

	// K2 was measured once: what is left replaces a drift that was assumed, and
	// stands beside one that the rig gives, √(0.4² + 2²)
	once := "corrections: {K1: {residual: 0.3 cents, drift: 0.4 cents}, K2: {residual: 0.4 cents}}\n"
	limit, _ = warned(wall + once)
	require.Zero(t, limit)
	limit, assumed = warned(strings.Replace(wall, "voices: 2}}\n", "voices: 2, kind: k}}\nvoices: {k: {drift: 2 cents}}\n", 1) + once)
	require.InDelta(t, 2*2.0396, limit, 0.01)
	require.False(t, assumed)

	// both steady: 2·√(0.3² + 0.4²) is less than the gap of 2.4 cents
	limit, _ = warned(wall + "corrections: {K1: {residual: 0.3 cents, drift: 0.4 cents}, K2: {residual: 0.3 cents, drift: 0.4 cents}}\n")
	require.Zero(t, limit)
}
