package routing

import (
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// Each pair of rigs stands on either side of a threshold: the first has the
// finding, the second has not. The sums are beside them.
func TestFindingsAboutPaths(t *testing.T) {
	for name, c := range map[string]struct {
		code       Code
		bad, good  string
		where      string
		value      float64
		text       string
		line, col  int
		unassessed bool // there is no number to it
	}{
		// 1 kΩ calibrated at one, then four: 1200·(1.01/1.04 − 1) = −34.61538 cents per octave
		"four on an output calibrated at one": {
			code:  PitchBent,
			bad:   "interfaces: {main: {profile: cv8-gate8, output_resistance: 1 kohm}}\nbanks: {K: {voices: 4}}\nwiring: [{from: main.cv 1, through: passive, to: K.pitch, calibrated_with: 1}]\n",
			good:  "interfaces: {main: {profile: cv8-gate8, output_resistance: 1 kohm}}\nbanks: {K: {voices: 4}}\nwiring: [{from: main.cv 1, through: passive, to: K.pitch, calibrated_with: 4}]\n",
			where: "wiring[0]", value: -34.61538, line: 4, col: 10,
			text: "main cv 1 was calibrated with 1 input plugged in, and now feeds 4: this flattens K1.pitch, K2.pitch, K3.pitch, K4.pitch by 34.6 cents per octave, all alike",
		},
		// 1200·(1.04/1.01 − 1) = 35.64356, sharp
		"three plugs pulled": {
			code:  PitchBent,
			bad:   "interfaces: {main: {profile: cv8-gate8, output_resistance: 1 kohm}}\nbanks: {K: {voices: 4}}\nwiring: [{from: main.cv 1, to: K1.pitch, calibrated_with: 4}]\n",
			good:  "interfaces: {main: {profile: cv8-gate8, output_resistance: 1 kohm}}\nbanks: {K: {voices: 4}}\nwiring: [{from: main.cv 1, to: K1.pitch, calibrated_with: 1}]\n",
			where: "wiring[0]", value: 35.64356, line: 4, col: 10,
			text: "main cv 1 was calibrated with 4 inputs plugged in, and now feeds 1: this sharpens K1.pitch by 35.6 cents per octave, all alike",
		},
		// two inputs over 5 octaves: 3 cents are 0.6 an octave, where 1 + 2r = (1 + r)/(1 − 0.0005),
		// r = Rs/Rin = 0.0005005: 50.1 Ω is over (1200·0.000501/1.001002), 50 Ω is not
		"just over 3 cents": {
			code:  PitchBent,
			bad:   "interfaces: {main: {profile: cv8-gate8, output_resistance: 50.1 ohm}}\nbanks: {K: {voices: 2}}\nwiring: [{from: main.cv 1, to: K.pitch}]\n",
			good:  "interfaces: {main: {profile: cv8-gate8, output_resistance: 50 ohm}}\nbanks: {K: {voices: 2}}\nwiring: [{from: main.cv 1, to: K.pitch}]\n",
			where: "wiring[0]", value: -0.600598, line: 4, col: 10,
			text: "main cv 1 was calibrated with 1 input plugged in, and now feeds 2: this flattens K1.pitch, K2.pitch by 0.6 cents per octave, all alike",
		},
		// 1.2 cents per octave and 1.2: 3 cents at 1.5 octaves
		"buffers": {
			code:  BuffersStray,
			bad:   "interfaces: {main: {profile: cv8-gate8, window: 0 V to 1.6 V}}\nbanks: {K: {voices: 2}}\nwiring: [{from: main.cv 1, through: buffered 4, to: K.pitch}]\n",
			good:  "interfaces: {main: {profile: cv8-gate8, window: 0 V to 1.5 V}}\nbanks: {K: {voices: 2}}\nwiring: [{from: main.cv 1, through: buffered 4, to: K.pitch}]\n",
			where: "wiring[0]", value: 1.2*19/12 + 1.2, line: 4, col: 10,
			text: "1 level in a row of buffered multiples may move K1.pitch, K2.pitch by up to 3.1 cents (0.1 % and 1 mV each)",
		},
		// 5 V in a window of 5 V, 3.0 mV over: 3.6 cents; 2.4 mV are 2.88
		"a correction out of the window": {
			code:  CorrectionClamped,
			bad:   "interfaces: {main: {profile: cv8-gate8}}\nbanks: {K: {voices: 2}}\ncorrections: {K2: {offset: 3 mV}}\n",
			good:  "interfaces: {main: {profile: cv8-gate8}}\nbanks: {K: {voices: 2}}\ncorrections: {K2: {offset: 2.4 mV}}\n",
			where: "corrections.K2", value: -3.6, line: 4, col: 15,
			text: "key 96 of K2 needs 5.0030 V when corrected; the CV range of main falls 3.6 cents short",
		},
		// 5/(1 + 4·R/10 k) is 2.5 V at R = 2.5 kΩ
		"a gate below its threshold": {
			code:  GateTooLow,
			bad:   "interfaces: {main: {profile: cv8-gate8, output_resistance: 2.6 kohm}}\nvoices: {k: {gate_resistance: 10 kohm}}\nbanks: {K: {voices: 4, kind: k}}\nwiring: [{from: main.gate 1, to: K.gate}]\n",
			good:  "interfaces: {main: {profile: cv8-gate8, output_resistance: 2.5 kohm}}\nvoices: {k: {gate_resistance: 10 kohm}}\nbanks: {K: {voices: 4, kind: k}}\nwiring: [{from: main.gate 1, to: K.gate}]\n",
			where: "interfaces.main.gate", value: 5 / 2.04, line: 2, col: 14,
			text: "2.45 V reach K1.gate, K2.gate, K3.gate, K4.gate; the threshold is 2.50 V, with 20 % to spare 3.00 V",
		},
		// a gate of 3 V through 0 Ω against 2.5 V and 20 %: 3 V is enough, 2.99 V is not
		"a gate with little to spare": {
			code:  GateMargin,
			bad:   "interfaces: {main: {profile: cv8-gate8, output_resistance: 0 ohm, gate: 2.99 V}}\nbanks: {K: {voices: 2}}\n",
			good:  "interfaces: {main: {profile: cv8-gate8, output_resistance: 0 ohm, gate: 3 V}}\nbanks: {K: {voices: 2}}\n",
			where: "interfaces.main.gate", value: 2.99, line: 2, col: 73,
			text: "2.99 V reach K1.gate, K2.gate; the threshold is 2.50 V, with 20 % to spare 3.00 V",
		},
		"S-trig into volts": {
			code:  GatePolarity,
			bad:   "interfaces: {main: {profile: cv8-gate8, gate: S-trig}}\nbanks: {K: {voices: 2}}\n",
			good:  "interfaces: {main: {profile: cv8-gate8, gate: S-trig}}\nvoices: {k: {gate_input: S-trig}}\nbanks: {K: {voices: 2, kind: k}}\n",
			where: "interfaces.main.gate", line: 2, col: 47, unassessed: true,
			text: "main gives S-trig, a short to ground; K1.gate, K2.gate need volts: they never open",
		},
		"volts into S-trig": {
			code:  GatePolarity,
			bad:   "interfaces: {main: {profile: cv8-gate8}}\nvoices: {k: {gate_input: S-trig}}\nbanks: {K: {voices: 2, kind: k}}\n",
			good:  "interfaces: {main: {profile: cv8-gate8}}\nvoices: {k: {gate_input: V-trig}}\nbanks: {K: {voices: 2, kind: k}}\n",
			where: "interfaces.main.gate", line: 2, col: 14, unassessed: true,
			text: "main gives volts; K1.gate, K2.gate need S-trig, a short to ground: they sound while no key is down, and stop with it",
		},
		// a 1 ms trigger holds no ADSR. Without sustain all is done after attack and decay: 305 ms
		"a trigger": {
			code:  TriggerTooShort,
			bad:   "interfaces: {main: {profile: cv8-gate8, trigger: 1 ms}}\nbanks: {K: {voices: 2}}\n",
			good:  "interfaces: {main: {profile: cv8-gate8}}\nbanks: {K: {voices: 2}}\n",
			where: "interfaces.main.trigger", value: 1, line: 2, col: 50,
			text: "main gives triggers of 1 ms, too short to hold a note on K1.gate, K2.gate. It ends with them, even while its key is down",
		},
		"a trigger without sustain": {
			code:  TriggerTooShort,
			bad:   "interfaces: {main: {profile: cv8-gate8, trigger: 304 ms}}\nvoices: {k: {sustain: 0 %, release: 299 ms}}\nbanks: {K: {voices: 2, kind: k}}\n",
			good:  "interfaces: {main: {profile: cv8-gate8, trigger: 305 ms}}\nvoices: {k: {sustain: 0 %, release: 299 ms}}\nbanks: {K: {voices: 2, kind: k}}\n",
			where: "interfaces.main.trigger", value: 304, line: 2, col: 50,
			text: "main gives triggers of 304 ms, too short to hold a note on K1.gate, K2.gate. It ends with them, even while its key is down",
		},
		// After the attack of 5 ms a release of 300 ms is as slow as the decay: nothing ends sooner
		"a trigger with a release as long as the decay": {
			code:  TriggerTooShort,
			bad:   "interfaces: {main: {profile: cv8-gate8, trigger: 5 ms}}\nvoices: {k: {sustain: 0 %, release: 299 ms}}\nbanks: {K: {voices: 2, kind: k}}\n",
			good:  "interfaces: {main: {profile: cv8-gate8, trigger: 5 ms}}\nvoices: {k: {sustain: 0 %, release: 300 ms}}\nbanks: {K: {voices: 2, kind: k}}\n",
			where: "interfaces.main.trigger", value: 5, line: 2, col: 50,
			text: "main gives triggers of 5 ms, too short to hold a note on K1.gate, K2.gate. It ends with them, even while its key is down",
		},
		"a trigger that ends in the attack": {
			code:  TriggerTooShort,
			bad:   "interfaces: {main: {profile: cv8-gate8, trigger: 4.9 ms}}\nvoices: {k: {sustain: 0 %}}\nbanks: {K: {voices: 2, kind: k}}\n",
			good:  "interfaces: {main: {profile: cv8-gate8, trigger: 5 ms}}\nvoices: {k: {sustain: 0 %}}\nbanks: {K: {voices: 2, kind: k}}\n",
			where: "interfaces.main.trigger", value: 4.9, line: 2, col: 50,
			text: "main gives triggers of 4.9 ms, too short to hold a note on K1.gate, K2.gate. It ends with them, even while its key is down",
		},
		"a module for triggers before a voice that sustains": {
			code:  TriggerTooShort,
			bad:   "interfaces: {main: {profile: cv8-gate8}}\nbanks: {K: {voices: 2}}\n" + pluck("1 s"),
			good:  "interfaces: {main: {profile: cv8-gate8}}\nvoices: {k: {sustain: 0 %}}\nbanks: {K: {voices: 2, kind: k}}\n" + pluck("1 s"),
			where: "gear.pluck", value: 1000, line: 4, col: 8,
			text: "pluck gives triggers of 1000 ms, too short to hold a note on K1.gate. It ends with them, even while its key is down",
		},
		// A voice opens by timing's min_gate of 5 ms, which nobody measured
		"a trigger shorter than the shortest gate": {
			code:  TriggerOpensNothing,
			bad:   "interfaces: {main: {profile: cv8-gate8}}\nvoices: {k: {sustain: 0 %}}\nbanks: {K: {voices: 2, kind: k}}\n" + pluck("4.9 ms"),
			good:  "interfaces: {main: {profile: cv8-gate8}}\nvoices: {k: {sustain: 0 %}}\nbanks: {K: {voices: 2, kind: k}}\n" + pluck("5 ms"),
			where: "gear.pluck", value: 4.9, line: 5, col: 8,
			text: "pluck gives triggers of 4.9 ms; K1.gate opens by gates of 5 ms or more",
		},
		"a trigger shorter than a voice was found to need": {
			code:  TriggerOpensNothing,
			bad:   "interfaces: {main: {profile: cv8-gate8, trigger: 19 ms}}\nbanks: {K: {voices: 2}}\nmeasured: {K2: {min_gate: 20 ms}}\ntiming: {min_gate: 5 ms}\n",
			good:  "interfaces: {main: {profile: cv8-gate8, trigger: 20 ms}}\nbanks: {K: {voices: 2}}\nmeasured: {K2: {min_gate: 20 ms}}\ntiming: {min_gate: 5 ms}\n",
			where: "interfaces.main.trigger", value: 19, line: 2, col: 50,
			text: "main gives triggers of 19 ms; K2.gate opens by gates of 20 ms or more",
		},
		"a summing jack beside own ones": {
			code:  ParkUnused,
			bad:   "interfaces: {main: {profile: cv8-gate8}}\nvoices: {k: {group_pitch: sums}}\nbanks: {K: {voices: 2, kind: k}}\nwiring: [{from: main.cv 8, to: K.pitch}]\n",
			good:  "interfaces: {main: {profile: cv8-gate8}}\nvoices: {k: {group_pitch: sums}}\nbanks: {K: {voices: 2, kind: k}}\n",
			where: "wiring[0]", line: 5, col: 10,
			text: "K.pitch adds to the pitch of K1, K2. Rest main cv 8 at 0 V while the voices play by themselves, and their own jacks while it plays",
		},
		"a summing jack without 0 V": {
			code:  CannotPark,
			bad:   "interfaces: {main: {profile: cv8-gate8, window: 1 V to 6 V}}\nvoices: {k: {group_pitch: sums}}\nbanks: {K: {voices: 2, kind: k}}\nwiring: [{from: main.cv 8, to: K.pitch}]\n",
			good:  "interfaces: {main: {profile: cv8-gate8, window: 0 V to 6 V}}\nvoices: {k: {group_pitch: sums}}\nbanks: {K: {voices: 2, kind: k}}\nwiring: [{from: main.cv 8, to: K.pitch}]\n",
			where: "wiring[0]", line: 5, col: 10,
			text: "K.pitch adds to the pitch of K1, K2. Rest main cv 8 at 0 V while the voices play by themselves, and their own jacks while it plays",
		},
		"a normal that plugs break": {
			code:  NormalBroken,
			bad:   "interfaces: {main: {profile: cv8-gate8}}\nvoices: {k: {group_pitch: normalled}}\nbanks: {K: {voices: 2, kind: k}}\nwiring: [{from: main.cv 8, to: K.pitch}]\n",
			good:  "interfaces: {main: {profile: cv8-gate8}}\nvoices: {k: {group_pitch: normalled}}\nbanks: {K: {voices: 2, kind: k}}\n",
			where: "wiring[0]", line: 5, col: 10, unassessed: true,
			text: "K.pitch from main cv 8 does not reach K1, K2: a plug in a voice's own pitch jack breaks the normal",
		},
		"a switch": {
			code:  GroupSwitch,
			bad:   "interfaces: {main: {profile: cv8-gate8}}\nvoices: {k: {group_pitch: switched}}\nbanks: {K: {voices: 2, kind: k}}\nwiring: [{from: main.cv 8, to: K.pitch}]\n",
			good:  "interfaces: {main: {profile: cv8-gate8}}\nvoices: {k: {group_pitch: switched}}\nbanks: {K: {voices: 2, kind: k}}\n",
			where: "wiring[0]", line: 5, col: 10, unassessed: true,
			text: "the switch of bank K chooses between main cv 8 and the voices' own jacks: K1, K2",
		},
	} {
		t.Run(name, func(t *testing.T) {
			f := mapOf(t, c.bad).only(t, c.code)
			require.Equal(t, c.text, f.Text)
			require.Equal(t, c.where, f.Where)
			require.NotEmpty(t, f.Hint)
			require.Equal(t, []int{c.line, c.col}, []int{f.Pos.Line, f.Pos.Column})
			if c.unassessed {
				require.Nil(t, f.Value)
			} else {
				require.InDelta(t, c.value, *f.Value, 1e-4)
			}
			require.NotContains(t, mapOf(t, c.good).codes(), c.code)
		})
	}
}

// A resistor inside the loop: 0 Ω raises nothing, however much hangs on it.
func TestNoResistanceNoFinding(t *testing.T) {
	m := mapOf(t, "interfaces: {main: {profile: cv8-gate8, output_resistance: 0 ohm}}\nbanks: {K: {voices: 64}}\n"+
		"wiring: [{from: main.cv 1, through: passive, to: K.pitch}, {from: main.gate 1, through: passive, to: K.gate}]\n")
	require.Equal(t, []Code{PitchShared, GateShared}, m.codes()) // no voice can be played alone, but nothing is bent
	for i := range m.Voices {
		require.Zero(t, m.Voices[i].Budget.Of(Loading).Worst)
	}
}

// A correction is held to the CV range at the keys that are played. 40 mV more than 5 V at key 96, C7, which no part
// plays, is no matter; played up to there, it misses 48 cents.
func TestCorrectionsAtKeysThatArePlayed(t *testing.T) {
	const rig = "interfaces: {main: {profile: cv8-gate8}}\nbanks: {K: {voices: 1}}\ncorrections: {K1: {offset: 40 mV}}\n"
	require.NotContains(t, mapOf(t, rig+"parts: {p: {keys: 24-90}}\n").codes(), CorrectionClamped)
	require.InDelta(t, -48, *mapOf(t, rig).only(t, CorrectionClamped).Value, 1e-9)
}

// Voices behind a gate-OR have 0.7 V less, and a finding of their own: 5 V through 1 kΩ into 100 kΩ are 4.95 V, through
// the diode, into an input of 100 kΩ, 5·100/101 − 0.7 = 4.25 V; both below 4.2 V and 20 %.
func TestDiodesHaveTheirOwnFinding(t *testing.T) {
	m := mapOf(t, "interfaces: {main: {profile: cv8-gate8, output_resistance: 1 kohm}}\nvoices: {k: {gate_threshold: 4.2 V}}\nbanks: {K: {voices: 2, kind: k}}\ngear: {or: {does: gate-or}}\n"+
		"wiring: [{from: main.gate 1, to: or}, {from: main.gate 2, to: or}, {from: or, to: K1.gate}]\n")
	var volts []float64
	for _, f := range m.Findings {
		if f.Code == GateMargin {
			volts = append(volts, *f.Value)
		}
	}
	require.Len(t, volts, 2)
	require.InDeltaSlice(t, []float64{500.0/101 - 0.7, 500.0 / 101}, volts, 1e-9)
}

// A CV that goes to its new volts with 1 ms, sent up to 2 ms late, over an octave takes 2 + ln(1200/3) = 7.99 ms to within 3
// cents. With a lead of 3 ms e^−1 of the octave is left, 441.5 cents; with the lead that is named nothing is said.
func TestACVSettlesBeforeItsGate(t *testing.T) {
	rig := func(box, lead string) *Map {
		return mapOf(t, "interfaces: {main: {profile: audio-dc8, gain_error: 0.1 %, offset_error: 1 mV, "+box+"}}\nbanks: {K: {voices: 2}}\nparts: {p: {keys: 48-60}}\ntiming: {lead: "+lead+"}\n")
	}
	f := rig("update: 2 ms, settling: 1 ms", "3 ms").only(t, CVSettlesLate)
	require.InDelta(t, 1200*math.Exp(-1), *f.Value, 1e-9)
	require.Equal(t, "a new CV of main takes 8.0 ms, and a gate opens 3.0 ms after it is sent: the pitch is then up to 441.5 cents off", f.Text)
	require.Equal(t, "timing: {lead: 8.0 ms}", f.Hint)
	require.NotContains(t, rig("update: 2 ms, settling: 1 ms", "8.0 ms").codes(), CVSettlesLate)
	require.Contains(t, rig("update: 2 ms, settling: 1 ms", "7.9 ms").codes(), CVSettlesLate)
	require.Contains(t, rig("update: 2 ms", "1 ms").codes(), CVSettlesLate) // all of it is left
	require.NotContains(t, rig("update: 2 ms", "2 ms").codes(), CVSettlesLate)
	require.Empty(t, rig("update: 1 s, settling: 1 s", "2 ms").only(t, CVSettlesLate).Hint)
}

// pluck leads the gate of K1 through a trigger of that length.
func pluck(pulse string) string {
	return "gear: {pluck: {does: trigger, pulse: " + pulse + "}}\nwiring: [{from: main.gate 1, to: pluck}, {from: pluck, to: K1.gate}]\n"
}

// Which trigger counts: the last module on the way, before it the interface's, and none
// where nothing gives any.
func TestPulse(t *testing.T) {
	for rig, want := range map[string]time.Duration{
		"interfaces: {main: {profile: cv8-gate8}}\n":                                                                                           0,
		"interfaces: {main: {profile: cv8-gate8, trigger: 2 ms}}\n":                                                                            2 * time.Millisecond,
		"interfaces: {main: {profile: cv8-gate8, trigger: 2 ms}}\n" + pluck("7 ms"):                                                            7 * time.Millisecond,
		"interfaces: {main: {profile: cv8-gate8}}\ngear: {a: {does: trigger}}\nwiring: [{from: main.gate 1, to: a}, {from: a, to: K1.gate}]\n": 5 * time.Millisecond,
		"interfaces: {main: {profile: cv8-gate8}}\ngear: {a: {does: trigger, pulse: 3 ms}, b: {does: trigger, pulse: 9 ms}, c: {does: buffered 2}}\n" +
			"wiring: [{from: main.gate 1, to: a}, {from: a, to: b}, {from: b, to: c}, {from: c, to: K1.gate}]\n": 9 * time.Millisecond,
		"banks: {L: {voices: 1}}\n": 0, // no jack at all
	} {
		if !strings.HasPrefix(rig, "banks") {
			rig += "banks: {K: {voices: 2}}\n"
		}
		require.Equal(t, want, mapOf(t, rig).Pulse(0), rig)
	}
}
