package plan

import (
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing"
	"choirloft/routing/reach"
)

const shelf = "../../testdata/"

// loaded is the plan of a rig in testdata.
func loaded(t *testing.T, path string) *Plan {
	t.Helper()
	rig, err := profiles.Load(shelf + path)
	require.NoError(t, err)
	p, err := Build(rig, Overrides{})
	require.NoError(t, err)
	return p
}

// heard is what the demo song adds to it.
func heard(t *testing.T, p *Plan) *Hearing {
	t.Helper()
	data, err := os.ReadFile(shelf + "slow-kiln.mid")
	require.NoError(t, err)
	song, err := midi.Read(data, midi.Options{})
	require.NoError(t, err)
	h, err := p.Hear(song)
	require.NoError(t, err)
	return h
}

func codesOf(found []routing.Finding) (codes []routing.Code) {
	for _, f := range found {
		codes = append(codes, f.Code)
	}
	return codes
}

// The demo: keys 29–95 are 67 and do not fit the 61 of a 0–5 V
// window, so the bass needs its own zero key.
func TestTheDemoSongDoesNotFitTheDemoRack(t *testing.T) {
	p := loaded(t, "kiln-yard.yaml")
	require.Empty(t, p.Findings)
	h := heard(t, p)
	require.Equal(t, []routing.Code{routing.WindowTooNarrow, routing.OutOfReach}, codesOf(h.Findings))
	require.InDelta(t, 67, *h.Findings[0].Value, 0)
	require.Contains(t, h.Findings[0].Text, "67 keys")
	require.Contains(t, h.Findings[0].Text, "61 keys")
	require.True(t, strings.HasPrefix(h.Findings[0].Hint, "bass needs zero_key 29 (F1), or by whole octaves 24 (C1)"))
	require.Equal(t, "parts.bass", h.Findings[1].Where)
	// the roots − 12 that are below 36: 33, 29, 31, twice a bar, in three of four bars
	require.InDelta(t, 24, *h.Findings[1].Value, 0)
	require.NotZero(t, h.Findings[0].Pos.Line)
}

// And with it nothing is wrong.
func TestAnOwnZeroKeyMendsIt(t *testing.T) {
	p := loaded(t, "rigs/own-zero-key.yaml")
	require.Empty(t, p.Findings)
	require.Empty(t, heard(t, p).Findings)
}

// A 12-bit step of 10 V is 12000/4096 = 2.929688 cents; the ruler 0-1-4-6 gives
// neighbours 2, 6 and 4 cents apart at 12, of which 2 and 4 are below two steps.
func TestDetuneFinerThanTheSteps(t *testing.T) {
	p := loaded(t, "rigs/coarse.yaml")
	require.Contains(t, codesOf(p.Findings), routing.DetuneTooFine)
	text, err := os.ReadFile(shelf + "rigs/coarse.yaml")
	require.NoError(t, err)
	swapped := strings.Replace(string(text), "profile: profiles/coarse-cv32.yaml", "profile: cv32-gate32", 1)
	require.NotContains(t, codesOf(build(t, swapped, Overrides{}).Findings), routing.DetuneTooFine)
}

// Calibrated at 1, then 4: 1200·(1.01/1.04 − 1) = −34.61538 cents per octave.
func TestFourOnOneJack(t *testing.T) {
	p := loaded(t, "rigs/one-jack.yaml")
	require.Equal(t, []routing.Code{routing.PitchShared, routing.PitchBent}, codesOf(p.Findings))
	require.InDelta(t, -34.61538, *p.Findings[1].Value, 1e-5)
	require.False(t, p.Findings[0].Assumed)
}

func TestOneSupplyForAll(t *testing.T) {
	require.Equal(t, []routing.Code{routing.SupplyTight}, codesOf(loaded(t, "rigs/one-supply.yaml").Findings))
}

// How many sound at once comes from the song: the demo's bass is one voice, with
// a tail two (its audible peak), on a bank of three in service.
func TestLevelsCountTheSong(t *testing.T) {
	p := loaded(t, "rigs/own-zero-key.yaml")
	require.Equal(t, []int{4, 4, 4, 4, 3}, p.Levels.Counts.Banks)
	require.Equal(t, 19, p.Levels.All)
	require.False(t, p.Levels.Counted)
	h := heard(t, p)
	require.True(t, h.Levels.Counted)
	require.Equal(t, 2, h.Levels.Counts.Banks[4])
	require.LessOrEqual(t, h.Levels.All, 18)
	require.Equal(t, h.Levels.All, h.Levels.Main.Voices.Voices())
}

// A unison without detune is in step, and only its banks are.
func TestUnisonWithoutDetuneIsInStep(t *testing.T) {
	const rig = "rig: R\ninterfaces: {main: {profile: cv16-gate16}}\nbanks: {K: {voices: 4}, L: {voices: 4}}\nparts: {p: {banks: [K], unison: {voices: 2, spread: %}}, q: {banks: [L]}}\n"
	p := build(t, strings.Replace(rig, "%", "0 cents", 1), Overrides{})
	require.Equal(t, []bool{true, false, true}, []bool{p.Levels.Banks[0].Coherent, p.Levels.Banks[1].Coherent, p.Levels.Main.Coherent})
	p = build(t, strings.Replace(rig, "%", "10 cents", 1), Overrides{})
	require.False(t, p.Levels.Main.Coherent)
}

// A CV range that is only misplaced: 26 to 84 are 59 keys of 61, but lie from ten below C2 (36) to C6. With key 26 at 0 V,
// the least move, all fit, and the rig that says so misses none; 26 to 96 are 71 keys, which no key fits. Where a
// part plays on two interfaces, none of them alone mends it.
func TestAKeyAtZeroVoltsIsTried(t *testing.T) {
	song := func(keys ...byte) *midi.Song {
		track := []byte{}
		for _, k := range keys {
			track = append(track, 0, 0x90, k, 100, 96, 0x80, k, 0)
		}
		track = append(track, 0, 0xff, 0x2f, 0)
		data := append([]byte("MThd\x00\x00\x00\x06\x00\x00\x00\x01\x00\x60MTrk\x00\x00\x00"), byte(len(track)))
		s, err := midi.Read(append(data, track...), midi.Options{})
		require.NoError(t, err)
		return s
	}
	const rig = "rig: R\ninterfaces: {main: {profile: cv8-gate8, window: 0 V to 5 V, zero_key: %}}\nbanks: {K: {voices: 4}}\n"
	hear := func(text, zero string, s *midi.Song) (*Plan, *Hearing) {
		p := build(t, strings.ReplaceAll(text, "%", zero), Overrides{})
		h, err := p.Hear(s)
		require.NoError(t, err)
		return p, h
	}
	p, h := hear(rig, "36", song(26, 40, 84))
	require.Equal(t, &reach.Rekey{Interface: 0, Key: 26}, h.Parts[0].ZeroKey)
	require.Equal(t, []routing.Code{routing.OutOfReach, routing.ZeroKeyOff}, codesOf(h.Findings))
	require.Equal(t, "zero_key: 26", h.Findings[1].Hint)
	require.True(t, p.fitsWith(h.Parts[0].ZeroKey, h.Replay, []int{0}))
	require.False(t, p.fitsWith(&reach.Rekey{Interface: 0, Key: 27}, h.Replay, []int{0})) // a semitone less is too little
	_, h = hear(rig, "26", song(26, 40, 84))
	require.Empty(t, h.Findings)
	_, h = hear(rig, "36", song(26, 40, 96))
	require.Nil(t, h.Parts[0].ZeroKey)
	require.Equal(t, routing.WindowTooNarrow, h.Findings[1].Code)
	_, h = hear(rig, "36", song(33, 96)) // 64 keys; the part alone is not wider than the range
	require.Nil(t, h.Parts[0].ZeroKey)
	two := "rig: R\ninterfaces: {main: {cv: 2, gates: 2, zero_key: %}, more: {cv: 2, gates: 2, zero_key: %}}\nbanks: {K: {voices: 4}}\n"
	_, h = hear(two, "36", song(26, 40, 84))
	require.Nil(t, h.Parts[0].ZeroKey)
}
