package routing

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Worked by hand from the packing rules (pack.go).

func TestABankStaysOnOneConnector(t *testing.T) {
	m := mapOf(t, `
interfaces: {main: {cv: 16, gates: 16, connector: 8}}
banks: {K: {voices: 3}, L: {voices: 3}, M: {voices: 3}, N: {voices: 2}, P: {voices: 3}}
`)
	require.Equal(t, []int{1, 2, 3, 4, 5, 6}, m.jacks("K1.pitch", "K2.pitch", "K3.pitch", "L1.pitch", "L2.pitch", "L3.pitch"))
	require.Equal(t, []int{9, 10, 11}, m.jacks("M1.pitch", "M2.pitch", "M3.pitch")) // 7 to 9 would lie across two
	require.Equal(t, []int{12, 13}, m.jacks("N1.pitch", "N2.pitch"))                // upward, not back
	require.Equal(t, []int{14, 15, 16}, m.jacks("P1.pitch", "P2.pitch", "P3.pitch"))
	require.Equal(t, m.jacks("M1.pitch", "P3.pitch"), m.jacks("M1.gate", "P3.gate"))
	require.Equal(t, []int{7, 8}, m.Spare[0].Jacks)
}

func TestWhatWasPassedOverIsUsedAtLast(t *testing.T) {
	m := mapOf(t, `
interfaces: {main: {cv: 16, gates: 16, connector: 8}}
banks: {K: {voices: 6}, L: {voices: 6}, M: {voices: 4}}
`)
	require.Equal(t, []int{9, 14}, m.jacks("L1.pitch", "L6.pitch"))
	require.Equal(t, []int{7, 8, 15, 16}, m.jacks("M1.pitch", "M2.pitch", "M3.pitch", "M4.pitch"))
}

func TestABankLargerThanAConnectorStartsAtOnce(t *testing.T) {
	m := mapOf(t, `
interfaces: {main: {cv: 16, gates: 16, connector: 4}}
banks: {K: {voices: 3}, L: {voices: 5}}
`)
	require.Equal(t, []int{4, 8}, m.jacks("L1.pitch", "L5.pitch"))
}

func TestFurtherInputsStandBesideTheirVoice(t *testing.T) {
	m := mapOf(t, `
interfaces: {main: {cv: 16, gates: 16}}
voices: {k: {inputs: [pitch, gate, velocity]}}
banks: {K: {voices: 2, kind: k}, L: {voices: 2}}
`)
	require.Equal(t, []int{1, 2, 3, 4}, m.jacks("K1.pitch", "K1.velocity", "K2.pitch", "K2.velocity"))
	require.Equal(t, []int{1, 2}, m.jacks("K1.gate", "K2.gate"))
	require.Equal(t, []int{5, 3}, m.jacks("L1.pitch", "L1.gate"))
}

func TestSpareAndOutVoicesKeepTheirJacks(t *testing.T) {
	m := mapOf(t, `
interfaces: {main: {profile: cv8-gate8}}
banks: {K: {voices: 4, out: [1], spare: [3]}}
`)
	require.Equal(t, []int{1, 2, 3, 4}, m.jacks("K1.pitch", "K2.pitch", "K3.pitch", "K4.gate"))
	require.Empty(t, m.Voices[2].Seats) // a spare at rest plays nothing
}

// The homes by hand: of eight from above, the second, fourth and sixth are
// those of macros.
func TestHomesOfLanesAndMacros(t *testing.T) {
	lanes, macros := sharedOrders(32)
	require.Equal(t, []int{32, 30, 28, 26, 25, 24, 22, 20, 18, 17, 19, 21, 23, 27, 29, 31, 16}, lanes[:17])
	require.Equal(t, []int{31, 29, 27, 23, 21, 19, 17, 18, 20, 22, 24, 25, 26, 28, 30, 32, 16}, macros[:17])
	for jacks := range 40 {
		lanes, macros := sharedOrders(jacks)
		require.ElementsMatch(t, upTo(1, jacks), lanes)
		require.ElementsMatch(t, upTo(1, jacks), macros)
	}
	_, macros = sharedOrders(8)
	require.Equal(t, []int{7, 5, 6, 8}, macros[:4]) // four voices keep 1 to 4
}

// Where two CVs are left, any two of a voice, a lane and a macro fit: why
// growing cannot always leave everything where it is.
func TestAnyTwoOfThreeFitOnTwoCVs(t *testing.T) {
	const box = "interfaces: {main: {cv: 3, gates: 3}}\n"
	for _, text := range []string{
		"banks: {K: {voices: 2, lanes: [cutoff]}}\n",
		"banks: {K: {voices: 2}}\nmacros: {m: {from: CC 1 on 1, to: K.cutoff}}\n",
		"banks: {K: {voices: 1, lanes: [cutoff]}}\nmacros: {m: {from: CC 1 on 1, to: K.resonance}}\n",
	} {
		require.Empty(t, mapOf(t, box+text).Missing, text)
	}
}

func TestOthersFlowAroundPins(t *testing.T) {
	m := mapOf(t, `
interfaces: {main: {profile: cv8-gate8}}
banks: {K: {voices: 3, lanes: [cutoff]}}
macros: {bite: {from: CC 1 on 1, to: K.resonance}}
pins: {K2.pitch: main.cv 1, K.cutoff: main.cv 2, bite: main.cv 8}
`)
	require.Equal(t, []int{3, 1, 4}, m.jacks("K1.pitch", "K2.pitch", "K3.pitch"))
	require.Equal(t, []int{1, 2, 3}, m.jacks("K1.gate", "K2.gate", "K3.gate"))
	require.Equal(t, []int{2, 8}, m.jacks("K.cutoff", "bite"))
}

func TestTheOtherHalfOfAPinnedVoiceFollows(t *testing.T) {
	m := mapOf(t, `
interfaces: {one: {cv: 2, gates: 2}, two: {cv: 2, gates: 1}}
banks: {K: {voices: 3}}
pins: {K3.pitch: two.cv 2}
`)
	require.Equal(t, "two gate 1, port 1 channel 1 note", m.lines()["K3.gate"])
	require.Empty(t, m.Missing)

	// and then nothing is kept any more: L1 fills interface two
	m = mapOf(t, `
interfaces: {one: {cv: 2, gates: 2}, two: {cv: 2, gates: 2}}
banks: {K: {voices: 3}, L: {voices: 1}}
pins: {K3.pitch: two.cv 2}
`)
	require.Equal(t, "two gate 2, port 1 channel 2 note", m.lines()["L1.gate"])
}

// Interface one has three gates, but one of them is for L1.
func TestAJackIsKeptForTheOtherHalf(t *testing.T) {
	m := mapOf(t, `
interfaces: {one: {cv: 8, gates: 3}, two: {cv: 8, gates: 8}}
banks: {K: {voices: 3}, L: {voices: 1}}
pins: {L1.pitch: one.cv 8}
`)
	require.Equal(t, "two gate 3, port 1 channel 3 note", m.lines()["K3.gate"])
	require.Equal(t, "one gate 1, port 1 channel 1 note", m.lines()["L1.gate"])
}

func TestVoicesContinueOnTheNextInterface(t *testing.T) {
	m := mapOf(t, `
interfaces: {one: {profile: cv4-gate4}, two: {profile: cv8-gate8}}
banks: {K: {voices: 3}, L: {voices: 3}, M: {voices: 3, lanes: [cutoff]}, N: {voices: 1}}
`)
	lines := m.lines()
	require.Equal(t, "one cv 3, port 1 channel 3 note", lines["K3.pitch"])
	require.Equal(t, "two cv 1, port 1 channel 1 note", lines["L1.pitch"]) // on one connector there
	require.Equal(t, "two gate 6, port 1 channel 6 note", lines["M3.gate"])
	require.Equal(t, "two cv 8, port 1 channel 1 CC 20", lines["M.cutoff"])
	require.Equal(t, "two cv 7, port 1 channel 7 note", lines["N1.pitch"]) // on, not back
	require.Equal(t, []int{4}, m.Spare[0].Jacks)
}

// Two CVs of box two have no gates, so that what is no pair goes there.
func TestSingleLanesGoWhereLeastIsLost(t *testing.T) {
	m := mapOf(t, `
interfaces: {one: {cv: 3, gates: 3}, two: {cv: 2, gates: 0}}
voices: {k: {inputs: [pitch, gate, velocity]}}
banks: {K: {voices: 1, kind: k}, L: {voices: 2}}
macros: {bite: {from: CC 1 on 16, to: K.resonance}}
`)
	lines := m.lines()
	require.Empty(t, m.Missing)
	require.Equal(t, "two cv 1, port 1 channel 1 CC 21", lines["K1.velocity"]) // its jack's, as the voice has no channel there
	require.Equal(t, "two cv 2, port 1 channel 16 CC 1", lines["bite"])
}

func TestOutputsThatGiveEither(t *testing.T) {
	m := mapOf(t, `
interfaces: {dc: {profile: audio-dc8}}
banks: {K: {voices: 2, lanes: [cutoff]}}
`)
	require.Equal(t, []int{1, 2, 3, 4, 8}, m.jacks("K1.pitch", "K1.gate", "K2.pitch", "K2.gate", "K.cutoff"))
	require.Equal(t, "dc gate 2 audio 2", m.lines()["K1.gate"])
	require.Equal(t, []Spare{{Either: true, Jacks: []int{5, 6, 7}}}, m.Spare)
}

// A single CV takes an odd output before it breaks a pair of them, and breaks
// such a pair before one of a CV and a gate: 1 + 2·2 of 2 + 3 outputs, and three
// CVs and a gate of one of each and two outputs.
func TestSingleLanesBreakNoPairs(t *testing.T) {
	require.Empty(t, mapOf(t, `
interfaces: {one: {outputs: 2}, two: {outputs: 3}}
banks: {K: {voices: 2}}
macros: {m: {from: CC 1 on 1, to: K.level}}
`).Missing)
	require.Empty(t, mapOf(t, `
interfaces: {one: {cv: 1, gates: 1}, two: {outputs: 2}}
banks: {K: {voices: 1, lanes: [cutoff]}}
macros: {m: {from: CC 1 on 1, to: K.level}}
`).Missing)
}

func TestVoicesTakeCVsAndGatesBeforeOutputsThatGiveEither(t *testing.T) {
	m := mapOf(t, "interfaces: {dc: {profile: audio-dc8}, main: {profile: cv4-gate4}}\nbanks: {K: {voices: 5}}\n")
	require.Equal(t, "main cv 4, port 1 channel 4 note", m.lines()["K4.pitch"])
	require.Equal(t, "dc cv 1 audio 1", m.lines()["K5.pitch"])
}

// As in the rig with every key: cutoffs of K and L hang on CV 21, those of M
// and N on CV 22.
func TestWiredLanesShareAJack(t *testing.T) {
	m := mapOf(t, `
interfaces: {main: {profile: cv32-gate32}}
banks: {K: {voices: 4, lanes: [cutoff]}, L: {voices: 4, lanes: [cutoff]}, M: {voices: 4}, N: {voices: 4}}
macros: {bite: {from: CC 74 on 16, to: [K.resonance, L.resonance]}}
wiring:
  - {from: main.cv 21, through: passive, to: [K.cutoff, L.cutoff]}
  - {from: main.cv 22, to: [M.cutoff, N.cutoff]}
  - {from: main.cv 23, to: K.resonance}
  - {from: main.gate 20, to: [K1.gate, K2.gate]}
`)
	lines := m.lines()
	require.Equal(t, "main cv 21, port 1 channel 1 CC 31", lines["K.cutoff"])
	require.Equal(t, lines["K.cutoff"], lines["L.cutoff"])
	require.Equal(t, "main cv 22, port 1 channel 1 CC 30", lines["M.cutoff+N.cutoff"]) // a lane of the wire alone
	require.Equal(t, "main cv 23, port 1 channel 16 CC 74", lines["bite"])
	require.Equal(t, "main gate 20, port 1 channel 1 note", lines["K1.gate"])
	require.Equal(t, lines["K1.gate"], lines["K2.gate"])
	require.Equal(t, []int{2, 1}, m.jacks("K2.pitch", "K3.gate"))
	require.Equal(t, []Code{GateShared}, m.codes()) // K1 and K2 cannot be played apart
}

// The pitch of a bank is its group jack where there is one, and the pitch of
// all its voices where there is none.
func TestGroupPitchIsAnInputOfItsOwn(t *testing.T) {
	const wired = `
interfaces: {main: {profile: cv8-gate8}}
banks: {K: {voices: 2, kind: k}}
wiring: [{from: main.cv 8, to: K.pitch}]
`
	sums := mapOf(t, "voices: {k: {group_pitch: sums}}"+wired)
	require.Equal(t, []int{1, 2, 8}, sums.jacks("K1.pitch", "K2.pitch", "K.pitch"))
	none := mapOf(t, "voices: {k: {group_pitch: none}}"+wired)
	require.Equal(t, []int{8, 8}, none.jacks("K1.pitch", "K2.pitch"))
	require.Equal(t, []Code{ParkUnused}, sums.codes())
	require.Equal(t, []Code{PitchShared, PitchBent}, none.codes()) // two inputs on an output that was calibrated with one
}

func TestNoInterface(t *testing.T) {
	m := mapOf(t, "banks: {K: {voices: 2}}\n")
	require.Len(t, m.Missing, 4)
	require.Empty(t, m.Findings) // the plan has one
	require.Nil(t, m.Voices[0].Keys)
}
