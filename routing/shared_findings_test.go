package routing

import (
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/midi"
)

// Two voices on one jack can only do as one: as a stack of a unison they do, and
// one of them alone may play anything.
func TestVoicesThatShareAJack(t *testing.T) {
	const wired = "interfaces: {main: {profile: cv8-gate8, output_resistance: 0 ohm}}\n" +
		"wiring: [{from: main.cv 1, to: [K1.pitch, K2.pitch]}, {from: main.gate 1, to: [K1.gate, K2.gate]}]\n"
	apart := mapOf(t, wired+"banks: {K: {voices: 4}}\n")
	f := apart.only(t, PitchShared)
	require.Equal(t, "K1, K2 share one pitch jack, main cv 1: they are one voice to part all, and play one note at a time", f.Text)
	require.Equal(t, "give each its own jack, or write mode: mono last, or unison: {voices: 2, when_short: blocks} in part all", f.Hint)
	require.Equal(t, []int{3, 10}, []int{f.Pos.Line, f.Pos.Column})
	require.Equal(t, "K1, K2 share one gate jack, main gate 1: part all plays them one by one, and all sound with each of its notes",
		apart.only(t, GateShared).Text)

	for name, rig := range map[string]string{
		"one stack":   "banks: {K: {voices: 4}}\nparts: {p: {unison: {voices: 2, spread: 20 cents}}}\n",
		"one is out":  "banks: {K: {voices: 4, out: [2]}}\n",
		"one a spare": "banks: {K: {voices: 4, spare: [2]}}\n",
	} {
		codes := mapOf(t, wired+rig).codes()
		require.NotContains(t, codes, PitchShared, name)
		require.NotContains(t, codes, GateShared, name)
	}
	// one part has them in a stack, the other has not
	across := mapOf(t, wired+"banks: {K: {voices: 4}}\nparts: {p: {unison: {voices: 3, spread: 20 cents}}, q: {}}\n")
	require.Contains(t, across.codes(), PitchShared)
}

// What check says of them is true of the rig that follows it: then nothing is wrong with the
// jacks, and no voice is detuned against another from the same jack. Three of four voices cannot
// be one stack of three beside a stack that is not whole: K2, K3 and K4 are in different ones.
func TestTheFixOfSharedJacks(t *testing.T) {
	const wired = "interfaces: {main: {profile: cv8-gate8, output_resistance: 0 ohm}}\nbanks: {K: {voices: 4}}\n" +
		"wiring: [{from: main.cv 1, to: [K1.pitch, K2.pitch]}]\n"
	m := mapOf(t, wired+"parts: {all: {unison: {voices: 2, spread: 20 cents, when_short: blocks}}}\n")
	require.Empty(t, m.codes())
	require.True(t, m.Unisons[0].OneJack)
	for i := range m.Voices {
		require.Zero(t, m.Voices[i].Seats[0].Detune)
	}
	require.Equal(t, []Destination{{Voices: []int{0, 1}}}, m.Destinations())
	require.True(t, m.Together(0, 1))
	require.False(t, mapOf(t, wired).Together(0, 1))
	none := mapOf(t, "interfaces: {main: {profile: cv8-gate8, output_resistance: 0 ohm}}\nbanks: {K: {voices: 4}}\n"+
		"wiring: [{from: main.cv 1, to: [K2.pitch, K3.pitch, K4.pitch]}]\n").only(t, PitchShared)
	require.Equal(t, "give each its own jack, or write mode: mono last in part all", none.Hint)
	require.Equal(t, Error, none.Severity)
}

// What shares a pitch jack is one voice, by the key of its bank as by a wire: enough for a part
// that plays one note at a time. Banks that other parts play are not one with it.
func TestDestinations(t *testing.T) {
	const box = "interfaces: {main: {profile: cv8-gate8, output_resistance: 0 ohm}}\n"
	m := mapOf(t, box+"banks: {K: {voices: 3, shared: pitch, gates: in turn}, L: {voices: 2}}\nparts: {p: {banks: [K], mode: mono last}, q: {banks: [L]}}\n")
	require.Equal(t, []Destination{{Voices: []int{0, 1, 2}, InTurn: true}}, m.Destinations())
	require.Equal(t, []Code{GatesInTurn}, m.codes())                         // one note moves pitch and gate there
	for i, jacks := range [][2]int{{1, 1}, {1, 2}, {1, 3}, {2, 4}, {3, 5}} { // pitch, gate
		v := &m.Voices[i]
		require.Equal(t, jacks, [2]int{v.Lane("pitch").Jack, v.Lane("gate").Jack}, i)
	}
	// the gates have channels of their own, and the pitch that of the first
	require.Equal(t, []midi.Channel{0, 0, 1}, []midi.Channel{m.Voices[1].Lane("pitch").Channel, m.Voices[0].Lane("gate").Channel, m.Voices[1].Lane("gate").Channel})

	const wired = box + "banks: {K: {voices: 2}, L: {voices: 2}}\nwiring: [{from: main.cv 1, to: [K.pitch, L.pitch]}]\n"
	m = mapOf(t, wired+"parts: {p: {mode: mono last}, q: {mode: mono low, channel: 2}}\n")
	require.Equal(t, []Destination{{Voices: []int{0, 1, 2, 3}}}, m.Destinations())
	require.NotContains(t, m.codes(), PitchShared)
	m = mapOf(t, wired+"parts: {p: {banks: [K], mode: mono last}, q: {banks: [L], mode: mono low, channel: 2}}\n")
	require.Equal(t, []Destination{{Voices: []int{0, 1}}, {Voices: []int{2, 3}}}, m.Destinations())
	f := m.only(t, PitchShared)
	require.Equal(t, "K1, K2, L1, L2 share one pitch jack, main cv 1: parts p and q move each other's pitch", f.Text)
	require.Equal(t, "give each its own jack", f.Hint)
}

// A bank with one gate by MIDI is refused with the reason and each way out; driven by CVs the same bank is fine.
func TestOneGateByMIDI(t *testing.T) {
	rig := func(profile string) *Map {
		return mapOf(t, "interfaces: {main: {profile: "+profile+", gain_error: 0.1 %, offset_error: 1 mV}}\nbanks: {K: {voices: 3, shared: gate}}\n")
	}
	f := rig("cv8-gate8").only(t, GateShared)
	require.Equal(t, "K1, K2, K3 share one gate jack, main gate 1: by MIDI a note opens the gate of its own channel, so that only the first of them is heard", f.Text)
	require.Equal(t, "give each its own jack, or drive them by CVs, from an interface with link: audio, or play them as one: unison: {voices: 3, when_short: blocks} in part all", f.Hint)
	require.NotContains(t, rig("audio-dc8").codes(), GateShared)
}
