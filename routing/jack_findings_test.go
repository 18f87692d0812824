package routing

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Each bad rig beside what is said of it: code, place, text and hint.
func TestFindingsAboutJacks(t *testing.T) {
	const small = "interfaces: {main: {profile: cv8-gate8}, other: {profile: cv8-gate8}}\nbanks: {K: {voices: 2, lanes: [cutoff]}}\n"
	for name, c := range map[string]struct {
		text              string
		code              Code
		where, said, hint string
		line, column      int
	}{
		"a pin on a wired jack": {
			small + "wiring: [{from: main.cv 5, to: [K.cutoff]}]\npins: {K1.pitch: main.cv 5}\n",
			JackHeldTwice, `pins."K1.pitch"`, "K1.pitch is pinned to main cv 5, which K.cutoff holds already",
			"pin K1.pitch to another jack; one output to several inputs stands under wiring", 5, 8,
		},
		"a wired lane pinned elsewhere": {
			small + "wiring: [{from: main.cv 5, to: [K.cutoff]}]\npins: {K.cutoff: main.cv 6}\n",
			JackHeldTwice, `pins."K.cutoff"`, "K.cutoff is pinned to main cv 6, but wired from main cv 5",
			"pin it to the jack that it is wired from, or take the pin away", 5, 8,
		},
		"a lane wired from two jacks": {
			small + "wiring: [{from: main.cv 5, to: K.cutoff}, {from: main.cv 6, to: K.cutoff}]\n",
			JackHeldTwice, "wiring[1]", "K.cutoff is wired from main cv 5 and from main cv 6",
			"outputs are never joined: take one of the two away, or put an adder between (gear: does: adder)", 4, 43,
		},
		"a pitch on a gate": {
			small + "pins: {K1.pitch: main.gate 5}\n",
			JackOfOtherKind, `pins."K1.pitch"`, "K1.pitch comes out of main gate 5, a gate jack, and needs a CV", "", 4, 18,
		},
		"a gate on a CV": {
			small + "wiring: [{from: main.cv 5, to: K1.gate}]\n",
			JackOfOtherKind, "wiring[0]", "K1.gate comes out of main cv 5, a CV, and needs a gate jack", "", 4, 17,
		},
		"an output that gives either": {
			"interfaces: {dc: {profile: audio-dc8}}\nbanks: {K: {voices: 1, lanes: [cutoff]}}\n" +
				"wiring: [{from: dc.cv 5, to: K.cutoff}]\npins: {K1.gate: dc.gate 5}\n",
			JackHeldTwice, `pins."K1.gate"`, "K1.gate is pinned to dc gate 5, which K.cutoff holds already",
			"pin K1.gate to another jack; one output to several inputs stands under wiring", 5, 8,
		},
		"a pin without a lane": {
			small + "pins: {K1.velocity: main.cv 5}\n",
			PinWithoutLane, `pins."K1.velocity"`, "K1.velocity is pinned to main cv 5, but nothing drives it",
			"add velocity to inputs: of its kind, or remove the pin", 4, 8,
		},
		"halves apart": {
			small + "pins: {K1.pitch: main.cv 5, K1.gate: other.gate 1}\n",
			PinnedApart, "banks.K", "K1 has its pitch on main cv 5 and its gate on other gate 1",
			"put both on one interface: a voice has one channel", 3, 9,
		},
		"a lane and a macro on one input": {
			small + "macros: {bite: {from: CC 74 on 16, to: [K.level, K2.cutoff]}}\n",
			InputDrivenTwice, "macros.bite", "K.cutoff and bite both drive K2.cutoff",
			"outputs are never joined: remove one, or put an adder between (gear: does: adder)", 4, 10,
		},
		"a macro's controller is a lane's": {
			small + "macros: {bite: {from: CC 20 on 1, to: K.level}}\n",
			MessageTwice, "macros.bite.from", "CC 20 on port 1 channel 1 moves macro bite and K.cutoff",
			"move the macro by another controller, or on another channel", 4, 23,
		},
	} {
		t.Run(name, func(t *testing.T) {
			f := mapOf(t, c.text).only(t, c.code)
			require.Equal(t, []string{c.where, c.said, c.hint}, []string{f.Where, f.Text, f.Hint})
			require.Equal(t, []int{c.line, c.column}, []int{f.Pos.Line, f.Pos.Column})
		})
	}
}

// What is nearly the same, and fine.
func TestNothingToSay(t *testing.T) {
	const small = "interfaces: {main: {profile: cv8-gate8}}\nbanks: {K: {voices: 2, lanes: [cutoff]}}\n"
	for name, text := range map[string]string{
		"a pin on the jack that it is wired from": "wiring: [{from: main.cv 5, to: [K.cutoff]}]\npins: {K.cutoff: main.cv 5}\n",
		"two wires from one jack":                 "wiring: [{from: main.cv 5, to: K.level}, {from: main.cv 5, to: K.cutoff}]\n",
		"a macro on a wired lane's jack":          "wiring: [{from: main.cv 5, to: [K.cutoff, K.level]}]\nmacros: {m: {from: CC 1 on 1, to: K.level}}\n",
		"two macros by one controller":            "macros: {m: {from: CC 1 on 1, to: K.level}, n: {from: CC 1 on 1, to: K.resonance}}\n",
		"a macro's controller on another channel": "macros: {m: {from: CC 20 on 2, to: K.level}}\n",
		"a macro with two targets in a bank":      "macros: {m: {from: CC 1 on 1, to: [K.level, K.resonance]}}\n",
	} {
		require.Empty(t, mapOf(t, small+text).Findings, name)
	}
}

// Two cables do not go into one jack: an error. One to the voice and one to the
// common jack of its bank may be added inside: a warning.
func TestOneJackTakesOnePlug(t *testing.T) {
	const small = "interfaces: {main: {profile: cv8-gate8}}\nbanks: {K: {voices: 2, lanes: [cutoff]}}\n"
	require.Equal(t, Error, mapOf(t, small+"macros: {bite: {from: CC 74 on 16, to: K.cutoff}}\n").only(t, InputDrivenTwice).Severity)
	require.Equal(t, Warning, mapOf(t, small+"macros: {bite: {from: CC 74 on 16, to: K1.cutoff}}\n").only(t, InputDrivenTwice).Severity)
	require.Empty(t, mapOf(t, small+"macros: {bite: {from: CC 74 on 16, to: K.level}}\n").Findings)
}
