package routing

import (
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/profiles"
	"choirloft/routing/circuit"
)

const sumRig = `
interfaces: {main: {profile: cv16-gate16, output_resistance: 1 kohm}}
banks: {K: {voices: 2, lanes: [cutoff]}}
macros: {bite: {from: CC 74 on 16, to: [K.cutoff, K.level]}}
gear: {sum: {does: adder}}
wiring:
  - {from: main.cv 10, to: sum}
  - {from: main.cv 11, to: sum}
  - {from: sum, to: K.cutoff}
`

// The lane has the adder's first jack, and the macro that moves the same input
// the second: nothing is joined, nothing is driven twice.
func TestAnAdder(t *testing.T) {
	m := mapOf(t, sumRig)
	require.Empty(t, m.Findings)
	require.Equal(t, []int{10, 11}, m.jacks("K.cutoff", "bite"))
	lane, bite := m.net(t, 10, false), m.net(t, 11, false)
	require.Equal(t, []string{"K.cutoff"}, m.branch(lane.Branches[0]))
	require.Equal(t, []int{0}, m.Rig.Way(lane.Branches[0].Via))
	require.Equal(t, []profiles.Ohms{circuit.BufferInput}, lane.Load.Inputs) // the adder hangs there, not the input
	require.Len(t, m.amplifiers(lane, lane.Inputs()[0]), 1)
	require.Len(t, bite.Branches, 2) // through the adder, and straight to K.level
	require.Equal(t, []string{"K.level"}, m.branch(bite.Branches[1]))
}

// Without the adder the same is said as ever.
func TestTwoOutputsJoined(t *testing.T) {
	m := mapOf(t, `
interfaces: {main: {profile: cv16-gate16}}
banks: {K: {voices: 2, lanes: [cutoff]}}
gear: {sum: {does: adder}}
wiring:
  - {from: main.cv 10, to: sum}
  - {from: sum, to: K.cutoff}
  - {from: main.cv 11, to: K.cutoff}
`)
	require.Equal(t, "K.cutoff is wired from main cv 10 and from main cv 11", m.only(t, JackHeldTwice).Text)
}

// Two pitches into one voice, such as a transpose beside the keys: the second jack
// has a lane of its own, and the adder's errors count in the budget.
func TestAnAdderBeforeAPitch(t *testing.T) {
	m := mapOf(t, `
interfaces: {main: {profile: cv8-gate8, output_resistance: 0 ohm}}
banks: {K: {voices: 1}}
gear: {sum: {does: adder}}
wiring:
  - {from: main.cv 1, to: sum}
  - {from: main.cv 2, to: sum}
  - {from: sum, to: K1.pitch}
`)
	require.Equal(t, []int{1, 2}, m.jacks("K1.pitch", "K1.pitch by main cv 2"))
	require.InDelta(t, 1.2*5+1.2, m.Voices[0].Budget.Of(BufferGain, BufferOffset).Worst, 1e-9) // one amplifier, at 5 V
	require.Equal(t, []Code{BuffersStray, BuffersStray}, m.codes())
}

// A gate-OR: the gates of a bank from two jacks.
func TestAGateOr(t *testing.T) {
	m := mapOf(t, `
interfaces: {main: {profile: cv8-gate8}}
banks: {K: {voices: 2}}
gear: {or: {does: gate-or}}
wiring:
  - {from: main.gate 3, to: or}
  - {from: main.gate 4, to: or}
  - {from: or, to: K.gate}
`)
	require.Equal(t, []Code{GateShared, GateShared}, m.codes()) // whichever jack, it opens both
	require.Equal(t, []int{3, 3, 4}, m.jacks("K1.gate", "K2.gate", "K.gate by main gate 4"))
}

// Diodes of a gate-OR take 0.7 V: 5 V − 0.7 V = 4.3 V pass a threshold of 4.2 V, but not by 20 %, which
// is 5.04 V. At 4.4 V the voice stays silent; straight from the jack, 5 V, it opens. S-trig in place of volts is
// said whatever is between.
func TestDiodesOfAGateOr(t *testing.T) {
	rig := func(threshold, box, to string) *Map {
		return mapOf(t, "interfaces: {main: {profile: cv8-gate8, output_resistance: 0 ohm, window: 0 V to 5 V"+box+"}}\nvoices: {k: {gate_threshold: "+threshold+"}}\n"+
			"banks: {K: {voices: 1, kind: k}}\ngear: {or: {does: gate-or}}\nwiring:\n"+to)
	}
	const or = "  - {from: main.gate 1, to: or}\n  - {from: or, to: K1.gate}\n"
	margin := rig("4.2 V", "", or).only(t, GateMargin)
	require.InDelta(t, 4.3, *margin.Value, 1e-9)
	require.True(t, margin.Assumed)
	require.Equal(t, "4.30 V reach K1.gate, 0.7 V less for the diodes of a gate-OR; the threshold is 4.20 V, with 20 % to spare 5.04 V", margin.Text)
	require.InDelta(t, 4.3, *rig("4.4 V", "", or).only(t, GateTooLow).Value, 1e-9)
	require.NotContains(t, rig("4.2 V", "", "  - {from: main.gate 1, to: K1.gate}\n").codes(), GateTooLow)
	require.InDelta(t, 5, *rig("4.2 V", "", "  - {from: main.gate 1, to: K1.gate}\n").only(t, GateMargin).Value, 1e-9)
	require.Contains(t, rig("4.2 V", ", gate: S-trig", or).codes(), GatePolarity)
	require.NotContains(t, rig("3.5 V", "", or).codes(), GateMargin) // 4.2 V are enough: 3.5 V and 20 %
	require.Contains(t, rig("3.6 V", "", or).codes(), GateMargin)
}

// A chain: what hangs behind a passive module loads the jack, what hangs behind a
// buffered one does not. 100 Ω into two pitches of 100 kΩ and one buffer of
// 100 kΩ: three inputs.
func TestAChain(t *testing.T) {
	m := mapOf(t, `
interfaces: {main: {profile: cv8-gate8, output_resistance: 0 ohm}}
banks: {K: {voices: 5}}
gear: {fan: {does: passive}, split: {does: buffered 3}, last: {does: buffered 2}}
wiring:
  - {from: main.cv 1, to: fan}
  - {from: fan, to: [K1.pitch, K2.pitch, split]}
  - {from: split, to: [K3.pitch, last]}
  - {from: last, to: [K4.pitch, K5.pitch]}
`)
	n := m.net(t, 1, false)
	require.Len(t, n.Load.Inputs, 3)
	for voice, depth := range []int{0, 0, 1, 2, 2} {
		require.Len(t, m.amplifiers(n, m.pitchOf(voice)), depth)
	}
}

// A multiple with three outputs, three and four of them wanted: ⌈3/2⌉ = 2
// multiples reach four, one more than there is.
func TestAFullMultiple(t *testing.T) {
	const rig = "interfaces: {main: {profile: cv8-gate8, output_resistance: 0 ohm}}\nbanks: {K: {voices: 4}}\ngear: {split: {does: buffered 3}}\n" +
		"wiring: [{from: main.gate 1, to: split}, {from: split, to: "
	require.NotContains(t, mapOf(t, rig+"[K1.gate, K2.gate, K3.gate]}]\n").codes(), MultipleFull)
	f := mapOf(t, rig+"K.gate}]\n").only(t, MultipleFull)
	require.Equal(t, "split has 3 outputs and feeds 4 inputs", f.Text)
	require.Equal(t, "put further multiples behind its outputs: 1 more of them", f.Hint)
	require.Equal(t, []int{4, 8}, []int{f.Pos.Line, f.Pos.Column})
}

// A rig with modules that do something: nothing wrong, and both jacks lead through both
// modules to both inputs.
func TestTheSummedRig(t *testing.T) {
	rig, err := profiles.Load("../testdata/rigs/summed.yaml")
	require.NoError(t, err)
	m := NewMap(rig)
	require.Empty(t, m.Findings)
	require.Equal(t, []int{15, 16}, m.jacks("K.cutoff", "bite"))
	for _, jack := range []int{15, 16} {
		require.Equal(t, []string{"K.cutoff", "L.cutoff"}, m.branch(m.net(t, jack, false).Branches[0]))
		require.Len(t, m.amplifiers(m.net(t, jack, false), m.net(t, jack, false).Inputs()[0]), 2)
	}
}
