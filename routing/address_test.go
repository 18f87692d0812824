package routing

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
)

// 16 channels a port (MIDI 1.0), so voice 17 needs a second port.
func TestPortsAndChannels(t *testing.T) {
	m := mapOf(t, "interfaces: {main: {profile: cv48-gate48, ports: 2}}\nbanks: {K: {voices: 33}}\n")
	require.Equal(t, "main cv 16, port 1 channel 16 note", m.lines()["K16.pitch"])
	require.Equal(t, "main cv 17, port 2 channel 1 note", m.lines()["K17.pitch"])
	require.Equal(t, "main gate 32, port 2 channel 16 note", m.lines()["K32.gate"])
	require.Equal(t, "main cv 33 ", m.lines()["K33.pitch"])
	f := m.only(t, NoChannel)
	require.Equal(t, "no message is left for K33.pitch, K33.gate: main has 32 channels", f.Text)
	require.Equal(t, "33 voices need ports: 3, or a second interface", f.Hint)
	require.InDelta(t, 2, *f.Value, 0)
	require.Equal(t, 2, f.Pos.Line)

	require.Empty(t, mapOf(t, "interfaces: {main: {profile: cv48-gate48, ports: 2}}\nbanks: {K: {voices: 32}}\n").Findings)
	require.Empty(t, mapOf(t, "interfaces: {main: {profile: cv48-gate48}}\nbanks: {K: {voices: 33}}\n").Findings) // four ports
}

// Worked by the scheme in address.go.
func TestMessages(t *testing.T) {
	m := mapOf(t, `
interfaces: {main: {profile: cv32-gate32}}
voices: {k: {inputs: [pitch, gate, velocity, cutoff, pressure, resonance], has: [pitch, gate, cutoff, resonance, level]}}
banks: {K: {voices: 1, kind: k, lanes: [level]}, L: {voices: 1, lanes: [gate]}}
macros: {bite: {from: CC 74 on port 2 channel 5, to: L.level}, far: {from: CC 3 on port 3 channel 1, to: L.cutoff}}
`)
	lines := m.lines()
	require.Equal(t, "main cv 2, port 1 channel 1 velocity", lines["K1.velocity"])
	require.Equal(t, "main cv 3, port 1 channel 1 CC 102", lines["K1.cutoff"])
	require.Equal(t, "main cv 4, port 1 channel 1 pressure", lines["K1.pressure"])
	require.Equal(t, "main cv 5, port 1 channel 1 CC 103", lines["K1.resonance"])
	require.Equal(t, "main cv 32, port 1 channel 1 CC 20", lines["K.level"])
	require.Equal(t, "main gate 32, port 1 channel 1 CC 114", lines["L.gate"])
	require.Equal(t, "main cv 31, port 2 channel 5 CC 74", lines["bite"])
	require.Equal(t, "no message is left for far: main has 32 channels", m.only(t, NoChannel).Text) // two ports
	require.Equal(t, "name a port that the interface has, or give it more", m.only(t, NoChannel).Hint)
}

// The twelfth CV from the last is the last on channel 1, and of gates the sixth.
func TestMessagesOfSharedLanesGoOnFromChannelToChannel(t *testing.T) {
	for lane, want := range map[string]string{
		"cv 21": "port 1 channel 1 CC 31", "cv 20": "port 1 channel 2 CC 20", "cv 1": "port 1 channel 3 CC 27",
	} {
		m := mapOf(t, fmt.Sprintf("interfaces: {main: {profile: cv32-gate32}}\nbanks: {K: {voices: 1, lanes: [cutoff]}}\npins: {K.cutoff: main.%s}\n", lane))
		require.Equal(t, "main "+lane+", "+want, m.lines()["K.cutoff"])
	}
	for lane, want := range map[string]string{"gate 27": "port 1 channel 1 CC 119", "gate 26": "port 1 channel 2 CC 114"} {
		m := mapOf(t, fmt.Sprintf("interfaces: {main: {profile: cv32-gate32}}\nbanks: {K: {voices: 1, lanes: [gate]}}\npins: {K.gate: main.%s}\n", lane))
		require.Equal(t, "main "+lane+", "+want, m.lines()["K.gate"])
	}
}
