package routing

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/routing/detune"
)

// unisonOf is the map of four voices in two banks with one part.
func unisonOf(t *testing.T, part string) *Map {
	t.Helper()
	return mapOf(t, "interfaces: {main: {profile: cv16-gate16}}\nbanks: {K: {voices: 4}, L: {voices: 4}}\nparts: {p: {"+part+"}}\n")
}

// Blocks of three over eight voices are 1–3 and 4–6; 7 and 8 idle.
func TestBlocksLeaveARemainder(t *testing.T) {
	m := unisonOf(t, "unison: {voices: 3}")
	u := m.Unisons[0]
	require.Equal(t, [][]int{{0, 1, 2}, {3, 4, 5}}, u.Stacks)
	require.Equal(t, []int{6, 7}, u.Idle)
	f := m.only(t, UnisonRemainder)
	require.Equal(t, "part p plays stacks of 3 voices, which leaves L3, L4 idle", f.Text)
	require.Equal(t, "write voices: 2, or when_short: thin", f.Hint)
	require.Equal(t, Seat{Stack: 2, Position: 1, Of: 3, Fixed: true, Detune: u.Cents[0], Pan: u.Stereo.Pans[0]}, m.Voices[3].Seats[0])
	require.Equal(t, Seat{Of: 3}, m.Voices[7].Seats[0]) // idle

	require.NotContains(t, unisonOf(t, "unison: {voices: 4}").codes(), UnisonRemainder)
}

// Where stacks are not fixed, detune by position changes from note to
// note, and by voice it is the voice's.
func TestStacksThatAreNotFixed(t *testing.T) {
	m := unisonOf(t, "unison: {voices: 4, when_short: elastic}")
	require.Empty(t, m.Unisons[0].Stacks)
	require.Equal(t, Seat{Of: 4}, m.Voices[1].Seats[0])
	require.NotContains(t, m.codes(), UnisonRemainder)

	m = unisonOf(t, "unison: {voices: 4, when_short: thin, detune: voice}")
	seat := m.Voices[5].Seats[0] // the second of the second four: −4 of −6, −4, 2, 6
	require.Equal(t, []int{0, 2, 4}, []int{seat.Stack, seat.Position, seat.Of})
	require.InDelta(t, -4, float64(seat.Detune), 1e-9)
	require.True(t, seat.Fixed)
}

// A spare is never in a stack, and in place of a voice that is out it takes
// that one's place: no other voice changes its stack.
func TestSparesInStacks(t *testing.T) {
	const rig = "interfaces: {main: {profile: cv16-gate16}}\nparts: {p: {unison: {voices: 2}}}\nbanks: {K: {voices: 5, out: [2], spare: [5]%s}}\n"
	rest := mapOf(t, fmt.Sprintf(rig, ""))
	require.Equal(t, [][]int{{0, 1}, {2, 3}}, rest.Unisons[0].Stacks)
	require.Empty(t, rest.Voices[4].Seats)
	require.InDelta(t, -3.010, *rest.only(t, UnisonThinned).Value, 1e-3) // −10·log10(2/1) dB

	used := mapOf(t, fmt.Sprintf(rig, ", use_spare: true"))
	require.Equal(t, [][]int{{0, 4}, {2, 3}}, used.Unisons[0].Stacks)
	require.Empty(t, used.Voices[1].Seats)
	require.NotContains(t, used.codes(), UnisonThinned)

	// V5 for V1: of the two that play, V2 comes first.
	first := mapOf(t, fmt.Sprintf(strings.Replace(rig, "out: [2]", "out: [1]", 1), ", use_spare: true"))
	require.Equal(t, [][]int{{1, 4}, {2, 3}}, first.Unisons[0].Stacks)
	require.Equal(t, 1, first.Voices[1].Seats[0].Position)
}

// The mean of −6, −4, 2, 6 is −0.5, and taken out on request.
func TestRecentre(t *testing.T) {
	u := unisonOf(t, "unison: {voices: 4, recentre: true}").Unisons[0]
	require.InDelta(t, -0.5, float64(u.Mean), 1e-9)
	require.InDeltaSlice(t, []float64{-5.5, -3.5, 2.5, 6.5}, cents(u.Cents), 1e-9)
}

func cents(stack []detune.Cents) (all []float64) {
	for _, c := range stack {
		all = append(all, float64(c))
	}
	return all
}

// Ten cents from 440 Hz up are 2.5489 Hz, 440·(2^(10/1200) − 1); from 5 cents below
// 440 Hz, 2^(−5/1200) = 0.997116 times that.
func TestBeatsAtAKey(t *testing.T) {
	u := unisonOf(t, "keys: 69, unison: {voices: 2, spread: 10 cents}").Unisons[0]
	for _, k := range u.Keys {
		require.EqualValues(t, 69, k.Key)
		require.InDelta(t, 2.5489*0.997116, float64(k.Beats.Slowest.Beat), 1e-4)
	}
	transposed := unisonOf(t, "keys: 57-62, transpose: 12, unison: {voices: 2}").Unisons[0]
	require.EqualValues(t, 69, transposed.Keys[0].Key)
	require.EqualValues(t, 71, transposed.Keys[1].Key) // (69 + 74)/2, downward
	require.EqualValues(t, 74, transposed.Keys[2].Key)
	outside := unisonOf(t, "keys: 100-110, unison: {voices: 2}").Unisons[0] // the window ends at 96
	require.EqualValues(t, 100, outside.Keys[0].Key)
	require.EqualValues(t, 110, outside.Keys[2].Key)
}

// Constant hertz keeps the beats of the middle key (c·(f0/f) cents), and
// between the two they grow by √2 an octave.
func TestScalings(t *testing.T) {
	octaves := func(scaling string) (cents, beats [3]float64) {
		u := unisonOf(t, "keys: 48-72, unison: {voices: 2, spread: 10 cents, scaling: "+scaling+"}").Unisons[0]
		for i, k := range u.Keys {
			cents[i], beats[i] = float64(k.Cents[1]), float64(k.Beats.Slowest.Beat)
		}
		return cents, beats
	}
	c, _ := octaves("cents")
	require.InDeltaSlice(t, []float64{5, 5, 5}, c[:], 1e-9)
	c, beats := octaves("hertz")
	require.InDeltaSlice(t, []float64{10, 5, 2.5}, c[:], 1e-9)
	require.InDelta(t, beats[1], beats[0], 0.01)
	require.InDelta(t, beats[1], beats[2], 0.01)
	c, _ = octaves("between")
	require.InDeltaSlice(t, []float64{7.0711, 5, 3.5355}, c[:], 1e-4) // 5·√2, 5, 5/√2
}

// Three even voices over 12 cents at 440 Hz: D = 440·(2^(6/1200) −
// 2^(−6/1200))/2 = 440·sinh(6·ln 2/1200) = 1.52493 Hz, 1/D = 0.65577 s.
func TestTheCommonThrobIsNamed(t *testing.T) {
	m := unisonOf(t, "keys: 69, unison: {voices: 3, law: even}")
	f := m.only(t, CommonThrob)
	require.Equal(t, "the voices of part p are evenly spaced and beat together, every 0.656 s at key 69", f.Text)
	require.InDelta(t, 0.65577, *f.Value, 1e-5)
	require.Equal(t, Note, f.Severity)
}

// Four voices at −6, −4, 2 and 6 cents are all multiples of 2 cents apart: in step again
// every 1/(261.626·(2^(2/1200) − 1)) = 3.307 s at middle C, but that 2 cents are not the same
// hertz everywhere. Even ones, 4 cents apart, every 1.653 s. Two voices just beat.
func TestInStepAgain(t *testing.T) {
	m := unisonOf(t, "keys: 60, unison: {voices: 4, law: uneven}")
	require.InDelta(t, 3.307, float64(m.Unisons[0].Keys[1].InStep), 0.01)
	require.True(t, m.Unisons[0].Keys[1].Again)
	f := m.only(t, CommonThrob)
	require.Equal(t, "the voices of part p beat together: they are in step again after 3.31 s at key 60", f.Text)
	require.Empty(t, f.Hint, "golden ones are after 2.2 s")
	even := unisonOf(t, "keys: 60, unison: {voices: 4, law: even}")
	require.InDelta(t, 1.653, float64(even.Unisons[0].Keys[1].InStep), 0.005)
	require.NotContains(t, unisonOf(t, "keys: 60, unison: {voices: 2}").codes(), CommonThrob)
}

// Both sides of each limit, by even gaps of half the spread. The scatter is the
// drift of 2 cents and the rounding of 5 V in 16 bits: steps of 5·1200/65536 =
// 0.09155 cents, by √12 0.02643, so 2σ = 2·√(2² + 0.02643²) = 4.00035 cents.
// Voices may lock below 2 cents (common practice). Two steps of 5 V in 12 bits are
// 2.929688 cents (twice 5·1200/4096 = 1.464844).
func TestLimitsOfGaps(t *testing.T) {
	rig := func(spread, more string) *Map {
		return mapOf(t, "interfaces: {main: {profile: cv16-gate16, gain_error: 0 %, offset_error: 0 mV, nonlinearity: 0"+more+"}}\n"+
			"voices: {k: {drift: 2 cents, tracking: 0 cents}, steady: {drift: 0 cents, tracking: 0 cents}}\n"+
			"banks: {K: {voices: 3, kind: k}, L: {voices: 3, kind: steady}}\n"+
			"parts: {p: {banks: [K], unison: {voices: 3, law: even, spread: "+spread+"}}, q: {banks: [L], unison: {voices: 3, law: even, spread: "+spread+"}}}\n")
	}
	require.NotContains(t, rig("8.002 cents", "").codes(), MaySwap)
	swap := rig("8 cents", "").only(t, MaySwap)
	require.False(t, swap.Assumed) // the rig gives the drift
	require.Equal(t, "positions 1 and 2 of part p lie 4.0 cents apart, less than twice their tuning error (4.0 cents). They trade places with a chance of 8 %", swap.Text)
	require.InDelta(t, 4, *swap.Value, 1e-9)

	require.NotContains(t, rig("4 cents", "").codes(), MayLock)
	lock := rig("3.99 cents", "").Unisons[1].Warnings
	require.Len(t, lock, 1) // part q, which does not drift
	require.Equal(t, detune.MayLock, lock[0].Code)
	require.True(t, lock[0].Assumed) // common practice
	require.Equal(t, 1, lock[0].Stack)

	require.NotContains(t, rig("5.86 cents", ", bits: 12").codes(), DetuneTooFine)
	require.Contains(t, rig("5.85 cents", ", bits: 12").codes(), DetuneTooFine)
}

// Of voices that stray differently, the one that strays most counts.
func TestScatterIsThatOfTheVoiceThatStraysMost(t *testing.T) {
	m := mapOf(t, "interfaces: {main: {profile: cv16-gate16}}\nvoices: {k: {drift: 2 cents}, steady: {drift: 0 cents}}\n"+
		"banks: {K: {voices: 1, kind: steady}, L: {voices: 1, kind: k}}\nparts: {p: {unison: {voices: 2, spread: 3 cents}}}\n")
	require.InDelta(t, 2, m.Voices[1].Budget.Of(Drift).Sigma, 1e-12)
	swap := m.only(t, MaySwap)
	require.Greater(t, m.Unisons[0].Warnings[0].Limit, detune.Cents(4)) // twice the drift, and more
	require.True(t, swap.Assumed)                                       // the rig gives the drift, and no error of the interface
}

// Neighbours in different banks are in different modules and do not lock.
func TestStacksAcrossBanksDoNotLock(t *testing.T) {
	m := mapOf(t, "interfaces: {main: {profile: cv16-gate16}}\nbanks: {K: {voices: 1}, L: {voices: 1}}\nparts: {p: {unison: {voices: 2, spread: 1 cents}}}\n")
	require.NotContains(t, m.codes(), MayLock)
	require.Contains(t, unisonOf(t, "banks: [K], unison: {voices: 2, spread: 1 cents}").codes(), MayLock)
}

// Detune and pan are not to correlate, which two voices can only do in
// the centre.
func TestPans(t *testing.T) {
	require.Empty(t, unisonOf(t, "unison: {voices: 2}").only(t, PanCentred).Hint) // three do not divide eight
	require.Equal(t, "for width, write voices: 3", mapOf(t, "interfaces: {main: {profile: cv16-gate16}}\nbanks: {K: {voices: 6}}\nparts: {p: {unison: {voices: 2}}}\n").only(t, PanCentred).Hint)
	m := unisonOf(t, "unison: {voices: 2, pan: 0 %}")
	require.NotContains(t, m.codes(), PanCentred)
	wide := unisonOf(t, "unison: {voices: 4, pan: 50 %}").Unisons[0].Stereo
	require.InDelta(t, 0.5, float64(wide.Width), 1e-9)
	require.Less(t, wide.Correlation*wide.Correlation, 0.2*0.2)
}

// profiles refuses these in a file; a rig that was changed since may have them.
func TestUnisonsThatCannotBe(t *testing.T) {
	m := unisonOf(t, "unison: {voices: 8}")
	m.Rig.Parts[0].Unison.Voices = 13
	m = NewMap(m.Rig)
	f := m.only(t, UnisonImpossible)
	require.Equal(t, "found 13 voices in unison, but the uneven pattern ends at 12 voices: take even, golden or random, or stacks of at most 12 voices", f.Text)
	require.Equal(t, Error, f.Severity)
	require.Equal(t, 4, f.Pos.Line)
	require.Equal(t, Seat{Of: 13}, m.Voices[0].Seats[0])

	m.Rig.Parts[0].Unison.Voices = 9
	f = NewMap(m.Rig).only(t, UnisonImpossible)
	require.Equal(t, "part p needs 9 voices for a note and has 8", f.Text)
	require.Equal(t, "write voices: 8 at most, or give the part more banks", f.Hint)
}
