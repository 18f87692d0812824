package routing

import (
	"bytes"
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/alloc"
	"choirloft/midi"
	"choirloft/profiles"
)

// demoMap is the map of the demo's rig, with replacements in its text, old and
// new in turn.
func demoMap(t *testing.T, replace ...string) *Map {
	t.Helper()
	text, err := os.ReadFile("../testdata/kiln-yard.yaml")
	require.NoError(t, err)
	for i := 0; i+1 < len(replace); i += 2 {
		require.Equal(t, 1, bytes.Count(text, []byte(replace[i])), replace[i])
		text = bytes.Replace(text, []byte(replace[i]), []byte(replace[i+1]), 1)
	}
	rig, faults := profiles.Read("kiln-yard.yaml", text, nil)
	require.Empty(t, faults)
	return NewMap(rig)
}

// The demo, counted by hand: 20 pitch and 20 gate jacks, five cutoffs and three
// macros of 32 CVs; spare 4 CVs and 12 gates. MIDI has 16 channels a port.
func TestDemo(t *testing.T) {
	m := demoMap(t)
	for i := range m.Voices {
		pitch, gate := m.Voices[i].Lane("pitch"), m.Voices[i].Lane("gate")
		require.Equal(t, i+1, pitch.Jack)
		require.Equal(t, i+1, gate.Jack)
		require.False(t, pitch.GateJack)
		require.True(t, gate.GateJack)
		require.Equal(t, []int{i/8 + 1, i%8 + 1}, []int{pitch.Connector, pitch.Place}) // 8 jacks a connector
		require.Equal(t, midi.Port(i/16), pitch.Port)
		require.Equal(t, midi.Channel(i%16), pitch.Channel)
		require.Equal(t, "note", gate.Message)
	}
	require.Len(t, m.Voices, 20)
	require.Equal(t, alloc.Out, m.Rig.Voices[17].State) // and keeps its jacks

	require.Equal(t, []int{32, 30, 28, 26, 25}, m.jacks("K.cutoff", "L.cutoff", "M.cutoff", "N.cutoff", "P.cutoff"))
	require.Equal(t, []int{31, 29, 27}, m.jacks("bite", "swell", "hush"))
	require.Equal(t, "main cv 32, port 1 channel 1 CC 20", m.line(&m.Shared[0]))
	require.Equal(t, "main cv 31, port 1 channel 16 CC 74", m.line(&m.Macros[0])) // as the rig says

	require.Equal(t, []Spare{{Jacks: upTo(21, 24)}, {Gates: true, Jacks: upTo(21, 32)}}, m.Spare)
	cvs, gates, either := m.SpareCount()
	require.Equal(t, []int{4, 12, 0}, []int{cvs, gates, either})
	require.Empty(t, m.Findings)
	require.Empty(t, m.Missing)
}

// 0 V at key 36 and 1 V an octave, as the rig says. P2 tracks keys 40–76
// only: 4/12 V and 40/12 V.
func TestDemoVolts(t *testing.T) {
	m := demoMap(t)
	require.Equal(t, []KeyVolts{{36, 0}, {48, 1}, {60, 2}, {72, 3}, {84, 4}, {96, 5}}, m.Voices[0].Keys)
	require.Equal(t, []KeyVolts{{40, 4. / 12}, {48, 1}, {60, 2}, {72, 3}, {76, 40. / 12}}, m.Voices[17].Keys)
}

// still asks that every line of the demo stands in the other map.
func still(t *testing.T, then *Map) {
	t.Helper()
	lines := then.lines()
	for name, line := range demoMap(t).lines() {
		require.Equal(t, line, lines[name], name)
	}
}

const (
	afterBanks  = "\n# One CV each, moved"
	afterMacros = "\nparts:\n"
)

func TestTheDemoGrows(t *testing.T) {
	fits := demoMap(t, afterBanks, "  Q: {voices: 4, kind: kiln}\n"+afterBanks)
	still(t, fits)
	require.Equal(t, upTo(21, 24), fits.jacks("Q1.pitch", "Q2.pitch", "Q3.pitch", "Q4.pitch"))
	require.Empty(t, fits.Missing)

	lane := demoMap(t, afterBanks, "  Q: {voices: 3, kind: kiln, lanes: [cutoff]}\n"+afterBanks)
	still(t, lane)
	require.Equal(t, []int{24}, lane.jacks("Q.cutoff"))

	macro := demoMap(t, afterMacros, "  glow: {from: CC 13 on 16, to: K.velocity}\n"+afterMacros)
	still(t, macro)
	require.Equal(t, []int{23}, macro.jacks("glow"))

	// 24 + 6 + 3 = 33 of 32 CVs: what is new does not fit, and nothing moves
	over := demoMap(t, afterBanks, "  Q: {voices: 4, kind: kiln, lanes: [cutoff]}\n"+afterBanks)
	still(t, over)
	require.Len(t, over.Missing, 1)
	require.Equal(t, "Q.cutoff", over.Missing[0].Name)
}

// The Golomb ruler of four, marks 0-1-4-6, gives −6, −4, +2, +6 at a width of 12.
func TestTheDemoInUnison(t *testing.T) {
	m := demoMap(t, "pad: {channel: 1}", "pad: {channel: 1, unison: {voices: 4, spread: 12 cents, law: uneven}}")
	require.Len(t, m.Unisons, 1)
	u := m.Unisons[0]
	require.Len(t, u.Stacks, 5)
	require.Equal(t, []int{16, 17, 18, 19}, u.Stacks[4])
	for n, want := range []float64{-6, -4, 2, 6} {
		require.InDelta(t, want, float64(u.Cents[n]), 1e-9)
		seat := m.Voices[4+n].Seats[0] // in the second stack
		require.Equal(t, []int{2, n + 1, 4}, []int{seat.Stack, seat.Position, seat.Of})
		require.InDelta(t, want, float64(seat.Detune), 1e-9)
	}
	require.InDelta(t, -0.5, float64(u.Mean), 1e-9) // (−6 − 4 + 2 + 6)/4
	require.Less(t, max(u.Stereo.Correlation, -u.Stereo.Correlation), 0.2)

	// The window reaches keys 36–96, of which 66 is the middle. The slowest beat
	// is that of the 2 cents between −6 and −4: C2 of 65.406 Hz (CRC Handbook,
	// sec. 14, table 1) by 2^(−6/1200)·(2^(2/1200) − 1) = 0.00115188 makes 0.07534 Hz.
	require.Equal(t, []midi.Key{36, 66, 96}, []midi.Key{u.Keys[0].Key, u.Keys[1].Key, u.Keys[2].Key})
	require.InDelta(t, 0.07534, float64(u.Keys[0].Beats.Slowest.Beat), 1e-5)
	require.InDelta(t, 13.273, float64(u.Keys[0].Beats.Slowest.Period()), 1e-2) // 1/0.07534 s
	require.False(t, u.Keys[1].Beats.Throb.Common)

	thinned := m.only(t, UnisonThinned)
	require.Equal(t, "stack 5 of part pad (P1, P2, P3, P4) plays with 3 of 4 voices: P2 is out", thinned.Text)
	require.InDelta(t, -1.249, *thinned.Value, 1e-3) // −10·log10(4/3) dB
	swap := m.only(t, MaySwap)                       // 2 cents are less than twice the drift of 2 cents
	require.True(t, swap.Assumed)                    // which the rig does not give
	require.Equal(t, "parts.pad.unison.spread", swap.Where)
	require.NotZero(t, swap.Pos.Line)
}

// The other parts play the same voices one by one, so a voice has a place in
// each part and none for all.
func TestPartsThatShareVoicesMayDisagree(t *testing.T) {
	m := demoMap(t, "pad: {channel: 1}", "pad: {channel: 1, unison: {voices: 4}}")
	require.Len(t, m.Voices[0].Seats, 4)
	_, ok := m.Voices[0].Seat()
	require.False(t, ok)
	alone, ok := demoMap(t).Voices[0].Seat()
	require.True(t, ok)
	require.Equal(t, Seat{Of: 1, Fixed: true}, alone)
}
