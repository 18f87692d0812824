package routing

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// scales is a rig of one voice whose pitch goes through modules.
func scales(box, gear, wiring, more string) string {
	return "interfaces: {main: {profile: cv8-gate8, zero_key: 36, window: 0 V to 5 V, output_resistance: 0 ohm" + box + "}}\n" +
		"voices: {k: {pitch_resistance: 100 kohm}}\nbanks: {K: {voices: 1, kind: k}}\ngear: {" + gear + "}\nwiring: [" + wiring + "]\n" + more
}

const throughOne = "{from: main.cv 1, to: m}, {from: m, to: K1.pitch}"

// Worked by hand at C4 (60), 2 V with 0 V at C2 (36) and 1 V/oct:
//
//	a 100 kΩ pot at half, into 100 kΩ: behind it ½·½·100 = 25 kΩ, so that
//	   0.5·100/125 = 0.40 of 2 V arrive, and 1.2 V are missing:  −1440 cents
//	an amplifier at half: 1 V is missing:                        −1200 cents
//	an offset of 0.5 V:                                           +600 cents, at every key
//	an inverter: −2 V in place of 2 V:                           −4800 cents
//	half, and then 1 V more: 2 V again:                              0 cents
//	the pot into a passive multiple with two inputs of 100 kΩ:
//	   0.5·50/75 = 1/3, so that 2/3 V arrive of 2 V:             −1600 cents
func TestAPitchThroughModules(t *testing.T) {
	const halves = "{from: main.cv 1, to: m}, {from: m, to: n}, {from: n, to: K1.pitch}"
	for _, c := range []struct {
		gear, wiring string
		cents        float64
	}{
		{"m: {does: attenuator, gain: 0.5, pot: 100 kohm}", throughOne, -1440},
		{"m: {does: attenuator, gain: 0.5}", throughOne, -1200},
		{"m: {does: offset, volts: 0.5 V}", throughOne, 600},
		{"m: {does: cv-inverter}", throughOne, -4800},
		{"m: {does: attenuator, gain: 0.5}, n: {does: offset, volts: 1 V}", halves, 0},
		{"m: {does: attenuator, gain: 0.5, pot: 100 kohm}, n: {does: passive}", "{from: main.cv 1, to: m}, {from: m, to: n}, {from: n, to: [K1.pitch, K1.cutoff]}", -1600},
		{"m: {does: attenuator}", throughOne, 0},
		{"m: {does: buffered 4}", throughOne, 0},
	} {
		m := mapOf(t, strings.Replace(scales("", c.gear, c.wiring, ""), "kohm}}\nbanks", "kohm, inputs: [pitch, gate, cutoff]}}\nbanks", 1))
		require.InDelta(t, c.cents, m.at(t, 60, Scaled), 1e-9, c.gear)
	}
}

// In hertz per volt a half is an octave lower at every key, and below 0 V is nothing to hear.
func TestAPitchInHertzThroughModules(t *testing.T) {
	const hertz = ", scale: 261.63 Hz at 1 V"
	for _, key := range []int{48, 60, 72} {
		require.InDelta(t, -1200, mapOf(t, scales(hertz, "m: {does: attenuator, gain: 0.5}", throughOne, "")).at(t, key, Scaled), 1e-9)
	}
	require.Equal(t, -12000.0, mapOf(t, scales(hertz, "m: {does: cv-inverter}", throughOne, "")).at(t, 60, Scaled))
}

// What is on the way is said once and marked where a resistance is assumed; a voice that was
// measured through it has it in its correction, and tuning is advised where that reaches.
func TestPitchScaled(t *testing.T) {
	half := "m: {does: attenuator, gain: 0.5}"
	m := mapOf(t, scales("", half, throughOne, ""))
	f := m.only(t, PitchScaled)
	require.Equal(t, "K1.pitch gets 0.500 times what is sent, through m: key 96 is -3000.0 cents off", f.Text)
	require.Contains(t, f.Hint, "tune through it") // a scale of 2, which a correction may have
	require.Equal(t, Given, of(m.At(0, 60).Terms, Scaled)[0].Basis)
	require.NotContains(t, mapOf(t, scales("", "m: {does: attenuator, gain: 0.49}", throughOne, "")).only(t, PitchScaled).Hint, "tune")
	require.NotContains(t, mapOf(t, scales("", "m: {does: cv-inverter}", throughOne, "")).only(t, PitchScaled).Hint, "tune")
	require.Contains(t, mapOf(t, scales("", "m: {does: offset, volts: -1 V}", throughOne, "")).only(t, PitchScaled).Text, "1.000 times what is sent and -1.00 V more")
	require.NotContains(t, mapOf(t, scales("", "m: {does: attenuator}", throughOne, "")).codes(), PitchScaled)

	measured := mapOf(t, scales("", half, throughOne, "corrections: {K1: {scale: 2, residual: 0.3 cents}}\n"))
	require.NotContains(t, measured.codes(), PitchScaled)
	require.Zero(t, measured.at(t, 60, Scaled))

	pot := "m: {does: attenuator, gain: 0.5, pot: 100 kohm}"
	require.Equal(t, Given, of(mapOf(t, scales("", pot, throughOne, "")).At(0, 60).Terms, Scaled)[0].Basis)
	assumed := strings.Replace(scales("", pot, throughOne, ""), "voices: {k: {pitch_resistance: 100 kohm}}", "voices: {k: {}}", 1)
	require.Equal(t, Assumed, of(mapOf(t, assumed).At(0, 60).Terms, Scaled)[0].Basis)
}
