package plan

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/alloc/study"
	"choirloft/profiles"
)

const splitRig = `rig: Split
interfaces: {main: {profile: cv16-gate16, cv: 32, gates: 32, window: 0 V to 10 V}}
banks: {K: {voices: 4}, L: {voices: 4}, M: {voices: 4}}
parts:
  pad:  # of two hands
    channel: 1
    reserve: 1
    unison:
      voices: 2   # wide
      spread: 8 cents
  lead: {channel: [1, 2], keys: 72-127, banks: [M], steal: oldest}
`

// TestSplitKeys: keys that are split over banks play as two parts that a rig says by hand.
func TestSplitKeys(t *testing.T) {
	byHand := strings.Replace(splitRig, "  lead:", "    keys: 0-59\n    banks: [K]\n  lead:", 1) +
		"  pad2: {channel: 1, keys: 60-127, banks: [L, M], reserve: 1, steal: newest, unison: {voices: 2, spread: 8 cents}}\n"
	byHand = strings.Replace(byHand, "reserve: 1\n", "reserve: 1\n    steal: newest\n", 1)
	o := MustParse("--banks", "pad=K / 60 /M,L", "--steal", "pad=newest")
	require.Equal(t, "pad=K/60/M,L", o.Words()[0].Typed())
	split := draft(t, splitRig, o)
	require.Equal(t, []int{0, 1, 0}, split.Origin)
	hand := draft(t, byHand, Overrides{})
	require.Equal(t, hand.Rules.Config, split.Rules.Config)
	require.NotEqual(t, split.Code(), draft(t, splitRig, MustParse("--banks", "pad=K/61/L,M", "--steal", "pad=newest")).Code())
	require.Equal(t, split.Code(), draft(t, splitRig, MustParse("--steal", "pad=newest", "--banks", "pad=K/60/L,M")).Code())

	rig, faults := profiles.Read("split.yaml", []byte(splitRig), nil)
	require.Empty(t, faults)
	kept, after, left, err := Keep(rig, []byte(splitRig), o, nil)
	require.NoError(t, err)
	require.True(t, left.IsZero())
	require.Len(t, after.Parts, 3)
	require.Contains(t, string(kept), "# of two hands")
	require.Contains(t, string(kept), "  pad2: {keys: 60-127, banks: [L, M], channel: 1, reserve: 1, unison: {voices: 2, spread: 8 cents}, steal: newest}\n")

	// Every part at once, of which one has keys on one side alone, and three seats.
	all := draft(t, splitRig, MustParse("--banks", "K/40/L/72/M"))
	require.Equal(t, []int{0, 1, 0, 0}, all.Origin)
	require.Equal(t, []string{"pad", "lead", "pad2", "pad3"}, names(all))
	require.Equal(t, []int{2}, all.Rules.Config.Parts[1].Banks)
}

func names(p *Plan) (list []string) {
	for _, part := range p.Rules.Config.Parts {
		list = append(list, part.Name)
	}
	return list
}

func draft(t *testing.T, text string, o Overrides) *Plan {
	t.Helper()
	rig, faults := profiles.Read("split.yaml", []byte(text), nil)
	require.Empty(t, faults)
	p, err := Draft(rig, o)
	require.NoError(t, err)
	return p
}

// TestSplitIsHeard: a song that two parts hear, one of them split, is heard beside itself: nothing
// is missing where each bank has voices enough.
func TestSplitIsHeard(t *testing.T) {
	text := strings.NewReplacer("    reserve: 1\n", "", "    unison:\n      voices: 2   # wide\n      spread: 8 cents\n", "").Replace(splitRig)
	p := draft(t, text, MustParse("--banks", "pad=K/60/L"))
	// Channel 1: keys 48, 60, 72 and 84 for half a second, at once.
	song := songFrom(t, "00903064 00903C64 00904864 00905464 8374 803040 00803C40 00804840 00805440 00FF2F00")
	played, err := p.Replay(song)
	require.NoError(t, err)
	heard, err := p.Listen(song, played, study.NewBudget(Listening))
	require.NoError(t, err)
	require.Zero(t, heard.Heard.Whole.Faint)
}

func TestSplitRefuses(t *testing.T) {
	for typed, want := range map[string]string{
		"pad=K/60":        `found "K/60", want banks, or banks / key / banks`,
		"pad=K/C4/L":      `found "C4", want a key by its number, from 1 to 127`,
		"pad=K/128/L":     `found "128", want a key by its number, from 1 to 127`,
		"pad=K/60/L/60/M": `found "60", want a key by its number, from 61 to 127`,
	} {
		var o Overrides
		require.ErrorContains(t, o.Add("--banks", typed), want)
	}
	rig, _ := profiles.Read("split.yaml", []byte(splitRig), nil)
	_, err := Draft(rig, MustParse("--banks", "pad=K/60/X"))
	require.ErrorContains(t, err, `unknown bank "X"`)
	_, err = Draft(rig, MustParse("--banks", "pad=K,L/60/M", "--unison", "pad=5"))
	require.ErrorContains(t, err, "a note of part pad takes 5 voices, more than keys 60 to 127 have")
	_, err = Draft(rig, MustParse("--banks", "pad=K/60/L", "--reserve", "pad=5"))
	require.ErrorContains(t, err, "the voices that are kept for pad are more than their banks have")
}
