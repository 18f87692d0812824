package routing

import (
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/profiles"
)

// trigs is a rig of a box, a kind and a module that a gate goes through.
func trigs(box, kind, does string) string {
	wiring := ""
	if does != "" {
		wiring = fmt.Sprintf("gear: {turn: {does: %s}}\nwiring: [{from: main.gate 1, to: turn}, {from: turn, to: K1.gate}]\n", does)
	}
	return fmt.Sprintf("interfaces: {main: {profile: cv8-gate8, output_resistance: 0 ohm%s}}\nvoices: {k: {%s}}\nbanks: {K: {voices: 1, kind: k}}\n%s", box, kind, wiring)
}

// Gates of each kind, straight and through each converter, into inputs of each kind: what
// opens the voice, by what is on at rest and what while a key is down.
func TestGatesEachWay(t *testing.T) {
	const closed, low = ", gate: S-trig", ", active: low"
	const short, inverse = "gate_input: S-trig", "jacks: {gate: {active: low}}"
	for _, c := range []struct{ box, kind, does, says string }{
		{"", "", "", ""},
		{closed, short, "", ""},
		{", active: closed", "jacks: {gate: {active: closed}}", "", ""},
		{low, inverse, "", ""},
		{closed, inverse, "", ""}, // a contact pulls the input low
		{"", short, "", "main gives volts; K1.gate needs S-trig, a short to ground: it sounds while no key is down, and stops with it"},
		{"", inverse, "", "main gives volts; K1.gate needs volts that are low while a key is down: it sounds while no key is down, and stops with it"},
		{low, "", "", "main gives volts that are low while a key is down; K1.gate needs volts: it sounds while no key is down, and stops with it"},
		{closed, "", "", "main gives S-trig, a short to ground; K1.gate needs volts: it never opens"},
		{"", short, "to-s-trig", ""},
		{closed, "", "from-s-trig", ""},
		{low, "", "inverter", ""},
		{"", inverse, "inverter", ""},
		{"", "", "inverter", "main gives volts; K1.gate needs volts: it sounds while no key is down, and stops with it"},
		{closed, short, "to-s-trig", "main gives S-trig, a short to ground; K1.gate needs S-trig, a short to ground: it never opens"},
		{"", "", "trigger", ""},
		{low, "", "trigger", "main gives volts that are low while a key is down; K1.gate needs volts: it opens when the key goes up"},
		{"", inverse, "trigger", "main gives volts; K1.gate needs volts that are low while a key is down: it sounds while no key is down, and stops with it"},
		{closed, short, "gate-or", "main gives S-trig, a short to ground; K1.gate needs S-trig, a short to ground: it sounds all the time"},
	} {
		m := mapOf(t, trigs(c.box, c.kind, c.does))
		if c.says == "" {
			require.NotContains(t, m.codes(), GatePolarity, "%+v", c)
			continue
		}
		f := m.only(t, GatePolarity)
		require.Equal(t, c.says, f.Text, "%+v", c)
		if module := slices.IndexFunc(f.Facts, func(f Fact) bool { return f.Name == "module" }); c.does == "" { // the fix does
			require.GreaterOrEqual(t, module, 0, "%+v", c)
			require.NotContains(t, mapOf(t, trigs(c.box, c.kind, f.Facts[module].Names[0])).codes(), GatePolarity, "%+v", c)
		}
	}
}

// 2 V do not reach the 2.5 V that a converter takes (assumed): the voice stays silent. 2.8 V reach them, but not
// with 20 %, 3 V.
func TestAGateTooLowForAConverter(t *testing.T) {
	low := mapOf(t, trigs(", gate: 2 V", "gate_input: S-trig", "to-s-trig")).only(t, GateTooLow)
	require.InDelta(t, 2, *low.Value, 1e-9)
	require.InDelta(t, 2.8, *mapOf(t, trigs(", gate: 2.8 V", "gate_input: S-trig", "to-s-trig")).only(t, GateMargin).Value, 1e-9)
	require.NotContains(t, mapOf(t, trigs(", gate: 3 V", "gate_input: S-trig", "to-s-trig")).codes(), GateMargin)
	// a trigger that never begins gives nothing: what it does not get is the fault
	require.InDelta(t, 2, *mapOf(t, trigs(", gate: 2 V", "", "trigger")).only(t, GateTooLow).Value, 1e-9)
	require.NotContains(t, mapOf(t, trigs(", gate: 3 V", "", "trigger")).codes(), GateMargin)
}

// Two boxes on the gates of a bank: contacts may meet, in the input or in a passive
// multiple; volts may not, nor volts beside a contact.
func TestContactsMayMeet(t *testing.T) {
	rig := func(one, two, gear, wiring string) string {
		return "interfaces: {main: {profile: cv8-gate8" + one + "}, also: {profile: cv8-gate8" + two + "}}\nvoices: {k: {gate_input: S-trig}}\n" +
			"banks: {K: {voices: 1, kind: k}}\n" + gear + "wiring:\n" + wiring
	}
	const s, straight = ", gate: S-trig", "  - {from: main.gate 1, to: K1.gate}\n  - {from: also.gate 1, to: K1.gate}\n"
	m := mapOf(t, rig(s, s, "", straight))
	require.NotContains(t, m.codes(), JackHeldTwice)
	require.NotContains(t, m.codes(), InputDrivenTwice)
	require.NotContains(t, m.codes(), GatePolarity)
	for _, boxes := range [][2]string{{"", ""}, {s, ""}} {
		m = mapOf(t, rig(boxes[0], boxes[1], "", straight))
		require.Contains(t, m.codes(), JackHeldTwice)
	}
	const joined = "  - {from: main.gate 1, to: fan}\n  - {from: also.gate 1, to: fan}\n  - {from: fan, to: K1.gate}\n"
	m = mapOf(t, rig(s, s, "gear: {fan: {does: passive}}\n", joined))
	require.NotContains(t, m.codes(), InputDrivenTwice)
	_, faults := profiles.Read("x.yaml", []byte("rig: R\n"+rig(s, "", "gear: {fan: {does: passive}}\n", joined)), nil)
	require.ErrorContains(t, faults, "outputs are never joined")
	m = mapOf(t, rig("", s, "gear: {turn: {does: to-s-trig}}\n", "  - {from: main.gate 1, to: turn}\n  - {from: turn, to: K1.gate}\n  - {from: also.gate 1, to: K1.gate}\n"))
	require.NotContains(t, m.codes(), JackHeldTwice) // a converter closes a contact too
	require.NotContains(t, m.codes(), GatePolarity)
}

// An input without a plug hangs on its normal: 5 V through 100 kΩ into a gate of 100 kΩ and a velocity of 100 kΩ is
// 5/3 V, and without the velocity 2.5 V. A plug breaks it.
func TestNormals(t *testing.T) {
	rig := func(kind, inputs string) *Map {
		return mapOf(t, "interfaces: {main: {profile: cv8-gate8, output_resistance: 100 kohm}}\nvoices: {k: {gate_threshold: 2 V, jacks: {"+kind+"}, inputs: ["+inputs+"]}}\nbanks: {K: {voices: 1, kind: k}}\n")
	}
	loads := func(m *Map) int { return len(m.NetOf(m.Voices[0].Lane(gateInput)).Load.Inputs) }
	require.Equal(t, 2, loads(rig("velocity: {normal: gate}", "pitch, gate")))
	require.InDelta(t, 5.0/3, *rig("velocity: {normal: gate}", "pitch, gate").only(t, GateTooLow).Value, 1e-9)
	require.NotContains(t, rig("level: {normal: 5 V}", "pitch, gate").codes(), GateMargin) // 2.5 V are over 2 V and 20 %
	require.Equal(t, 1, loads(rig("velocity: {normal: gate}", "pitch, gate, velocity")))
	require.Equal(t, 2, loads(rig("velocity: {normal: gate, plug: sums}", "pitch, gate, velocity")))
	require.Equal(t, 3, loads(rig("velocity: {normal: gate}, level: {normal: velocity}", "pitch, gate"))) // from jack to jack
	adds := rig("pitch: {normal: 1 V, plug: sums}", "pitch, gate").only(t, NormalAdds)
	require.Equal(t, "the normal of K1.pitch adds +1.00 V to what is plugged in", adds.Text)
	require.NotContains(t, rig("pitch: {normal: 1 V}", "pitch, gate").codes(), NormalAdds)
	require.NotContains(t, rig("pitch: {normal: 0 V, plug: sums}", "pitch, gate").codes(), NormalAdds)
}

// What a normal adds is in the sum at its input. The gate's 5 V through 100 kΩ into 100 kΩ are 2.5 V; with 1 V
// more they pass 2 V and 20 %, 3.4 V, but not 3.6 V. With 3 V the voice sounds while no key is down. At the pitch
// half a volt is 600 cents too high at every key, until the voice is measured with it.
func TestNormalsThatAdd(t *testing.T) {
	rig := func(threshold, jacks, inputs, more string) *Map {
		return mapOf(t, "interfaces: {main: {profile: cv8-gate8, output_resistance: 100 kohm}}\nvoices: {k: {gate_threshold: "+threshold+
			", jacks: {"+jacks+"}, inputs: ["+inputs+"]}}\nbanks: {K: {voices: 1, kind: k}}\n"+more)
	}
	const adds = "gate: {normal: 1 V, plug: sums}"
	require.InDelta(t, 2.5, *rig("2.6 V", "gate: {normal: 1 V}", "pitch, gate", "").only(t, GateTooLow).Value, 1e-9)
	require.NotContains(t, rig("2.9 V", adds, "pitch, gate", "").codes(), GateMargin) // 3.48 V
	require.InDelta(t, 3.5, *rig("3 V", adds, "pitch, gate", "").only(t, GateMargin).Value, 1e-9)
	always := rig("2.9 V", "gate: {normal: 3 V, plug: sums}", "pitch, gate, velocity", "").only(t, GatePolarity)
	require.Contains(t, always.Text, "all the time")
	require.Equal(t, "turn the normal of the jack down: it adds +3.00 V", always.Hint)
	// the velocity of 1/3 of 5 V, by gate and velocity inputs of 100 kΩ alike, and its own of 2.5 V
	m := rig("2 V", "velocity: {normal: gate, plug: sums}", "pitch, gate, velocity", "")
	gate, velocity := m.NetOf(m.Voices[0].Lane(gateInput)), m.NetOf(m.Voices[0].Lane("velocity"))
	m.graph.Set(gate.part, 5)
	m.graph.Set(velocity.part, 5)
	require.InDelta(t, 5.0/3+2.5, float64(m.graph.Volts(m.ends[Input{0, 0, "velocity"}])), 1e-9)

	const half = "pitch: {normal: 0.5 V, plug: sums}"
	m = rig("2 V", half, "pitch, gate", "")
	for _, key := range []int{36, 60, 96} {
		require.Equal(t, 600.0, m.at(t, key, Added))
	}
	require.Equal(t, "voices.k.jacks.pitch.normal", of(m.Voices[0].Budget.Terms, Added)[0].Source)
	require.Greater(t, m.Voices[0].Budget.Likely(), 600.0)
	require.Empty(t, m.amplifiers(m.NetOf(m.Voices[0].Lane(pitchInput)), m.pitchOf(0)))
	m = rig("2 V", half, "pitch, gate", "corrections: {K1: {residual: 0.3 cents}}\n")
	require.Zero(t, m.at(t, 60, Added))
	require.NotContains(t, m.codes(), NormalAdds)
}

// A multiple with three outputs and five voices: two in a row reach them, since
// the first keeps two.
func TestAPassiveMultipleOfThree(t *testing.T) {
	rig := func(voices int) *Map {
		return mapOf(t, fmt.Sprintf("interfaces: {main: {profile: cv8-gate8, output_resistance: 0 ohm}}\nbanks: {K: {voices: %d}}\n"+
			"wiring: [{from: main.gate 1, through: passive 3, to: K.gate}]\n", voices))
	}
	require.NotContains(t, rig(3).codes(), MultipleFull)
	f := rig(5).only(t, MultipleFull)
	require.Equal(t, "the multiple at main gate 1 has 3 outputs and feeds 5 inputs", f.Text)
	require.Equal(t, "put further multiples behind its outputs: 1 more of them", f.Hint)
}

// Two gates that are low while a key is down, in a gate-OR: the other rests at 5 V, so the voice sounds
// all the time, whichever is played; it is named once.
func TestGatesRestBesideEachOther(t *testing.T) {
	m := mapOf(t, "interfaces: {main: {profile: cv8-gate8, output_resistance: 0 ohm, active: low}}\nbanks: {K: {voices: 1}}\ngear: {or: {does: gate-or}}\n"+
		"wiring: [{from: main.gate 1, to: or}, {from: main.gate 2, to: or}, {from: or, to: K1.gate}]\n")
	require.Equal(t, "main gives volts that are low while a key is down; K1.gate needs volts: it sounds all the time", m.only(t, GatePolarity).Text)
}
