package routing

import (
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/profiles"
)

// Wires behind the panels: what plugs open of them, and what hangs on their jack. 1 kΩ into one input of 100 kΩ at
// calibration and two now is 1200·(1.01/1.02 − 1) = −11.76 cents an octave, as by any two inputs on a jack.
func TestNormalledOutputs(t *testing.T) {
	rig := func(wires, more string) *Map {
		return mapOf(t, "interfaces: {main: {profile: cv8-gate8, output_resistance: 1 kohm}}\nbanks: {K: {voices: 1}, L: {voices: 1}}\nwiring:\n"+wires+more)
	}
	jack := func(m *Map, voice int) int { return m.Voices[voice].Lane(pitchInput).Jack }
	const half, full = "  - {from: main.cv 3, to: K1.pitch, normal: half}\n", "  - {from: main.cv 3, to: K1.pitch, normal: full}\n"
	const tap, plug = "  - {from: main.cv 3, to: L1.pitch}\n", "  - {from: main.cv 5, to: K1.pitch}\n"
	for _, c := range []struct {
		name, wires, more string
		k, l, loads       int // jacks of the pitches, and inputs on cv 3
		open              string
	}{
		{name: "no plug", wires: half, k: 3, l: 1, loads: 1},
		{name: "a plug in a half-normalled output takes the signal too", wires: half + tap, k: 3, l: 3, loads: 2},
		{name: "one in a normalled output opens it", wires: full + tap, k: 1, l: 3, loads: 1,
			open: "the normal from main cv 3 does not reach K1.pitch: a plug in that jack opens it"},
		{name: "one in the input opens either", wires: half + plug, k: 5, l: 1,
			open: "the normal from main cv 3 does not reach K1.pitch: a plug there opens it"},
		{name: "so does a pin", wires: half, more: "pins: {K1.pitch: main.cv 7}\n", k: 7, l: 1,
			open: "the normal from main cv 3 does not reach K1.pitch: a plug there opens it"},
		{name: "a pin of the same jack is no plug", wires: full, more: "pins: {K1.pitch: main.cv 3}\n", k: 3, l: 1, loads: 1},
		{name: "one of another input is", wires: full, more: "pins: {L1.pitch: main.cv 3}\n", k: 1, l: 3, loads: 1,
			open: "the normal from main cv 3 does not reach K1.pitch: a plug in that jack opens it"},
	} {
		t.Run(c.name, func(t *testing.T) {
			m := rig(c.wires, c.more)
			require.Equal(t, []int{c.k, c.l}, []int{jack(m, 0), jack(m, 1)})
			if c.open == "" {
				require.NotContains(t, m.codes(), NormalOpen)
			} else {
				f := m.only(t, NormalOpen)
				require.Equal(t, []any{c.open, Note, "wiring[0]"}, []any{f.Text, f.Severity, f.Where})
			}
			for _, n := range m.Nets {
				if n.Jack == 3 && !n.GateJack {
					require.Len(t, n.Load.Inputs, c.loads)
				}
			}
			require.NotContains(t, m.codes(), InputDrivenTwice)
			require.NotContains(t, m.codes(), JackHeldTwice)
		})
	}
	bent := rig(half+tap, "").only(t, PitchBent)
	require.InDelta(t, 1200*(1.01/1.02-1), *bent.Value, 1e-9)
	require.Equal(t, "calibrate with all plugged in (calibrated_with: 2), and unplug none later", bent.Hint) // a normal goes through no multiple

	_, faults := profiles.Read("x.yaml", []byte("rig: R\ninterfaces: {main: {profile: cv8-gate8}}\nbanks: {K: {voices: 1}}\ngear: {fan: {does: passive}}\n"+
		"wiring: [{from: main.cv 1, to: fan, normal: half}, {from: fan, to: K1.pitch, normal: full}, {from: main.gate 1, through: passive, to: K1.gate, normal: half}]\n"), nil)
	for _, want := range []string{"normal is half on a wire to a module, want it from a jack straight to inputs", "normal is full on a wire from a module", "normal is half on a wire through a multiple"} {
		require.ErrorContains(t, faults, want)
	}
}
