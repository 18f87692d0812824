package say

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
)

// planted are losses of each kind: five keys, 48, 52, 55, 60 and 64, that sound
// together from 400 ms on (see onRig), on rigs on which just one thing is wrong.
var planted = map[string]struct{ rig, says, many string }{
	// Nobody may steal, so the fifth of five on four is not played at all.
	"dropped": {"banks: {K: {voices: 4, kind: v}}\nparts: {p: {steal: none}}\n",
		"slow-kiln.mid on 4 voices: 1 of 5 notes is dropped, none cut short.", "1 note dropped in 1 song."},
	// The fifth takes the voice of the first.
	"cut short": {"banks: {K: {voices: 4, kind: v}}\nparts: {p: {steal: lowest}}\n",
		"slow-kiln.mid on 4 voices: 1 of 5 notes is cut short, none dropped.", "1 note cut short in 1 song."},
	// 0–1 V from key 48 on, a volt an octave, ends at key 60; 64 is above it.
	"clamped": {"banks: {K: {voices: 5, kind: v}}\nparts: {p: {out_of_range: clamp}}\n",
		"1 of 5 notes of p plays at the wrong pitch, above C4 (60):", "1 note at the wrong pitch in 1 song."},
	// Folded, 64 sounds an octave lower.
	"folded": {"banks: {K: {voices: 5, kind: v}}\nparts: {p: {out_of_range: fold}}\n",
		"1 of 5 notes of p plays at the wrong pitch, above C4 (60):", "1 note at the wrong pitch in 1 song."},
	// No part plays the three keys below 60.
	"unplayed": {"banks: {K: {voices: 5, kind: v}}\nparts: {p: {keys: 60-127}}\n",
		"3 notes are unplayed: no part plays channel 1.", "3 notes played by no part in 1 song."},
	// 17 voices on an interface of 16 CVs and 16 gates.
	"no jack": {"banks: {K: {voices: 17, kind: v}}\n",
		"K17 has no jack for pitch or gate, and cannot play: see check.", "K17 has no jack for pitch or gate, and cannot play: see check."},
	// From 1 March to 1 September 2026 are 184 days, to 30 May 90.
	"old readings": {"banks: {K: {voices: 5, kind: v}}\ncorrections: {K1: {offset: 1 mV, measured: 2026-03-01}, K2: {offset: 1 mV, measured: 2026-09-01}}\n",
		"1 voice has old readings, over 90 days before the newest: K1.", "1 voice has old readings, over 90 days before the newest: K1."},
}

// TestHeadlinesHideNothing: what is wrong stands in the headline, of one song and
// of many, and nothing else does.
func TestHeadlinesHideNothing(t *testing.T) {
	const fine = "slow-kiln.mid on 5 voices: none of 5 notes is cut short or dropped. No audible tail is cut by another note."
	whole := onRig(t, "banks: {K: {voices: 5, kind: v}}\n")
	require.Equal(t, fine, whole.summary())
	require.Equal(t, "1 song on 5 voices: 1 without a loss.", newSongs(whole).summary())
	require.Equal(t, doc.Good, whole.tone())
	for name, x := range planted {
		window := ""
		if strings.HasSuffix(name, "ed") && strings.Contains(x.rig, "out_of_range") {
			window = "window: 0 V to 1 V, zero_key: 48, "
		}
		r := onRig(t, x.rig, window)
		require.Contains(t, r.summary(), x.says, name)
		require.Contains(t, newSongs(r).summary(), x.many, name)
		require.NotEqual(t, doc.Good, r.tone(), name)
		require.NotEqual(t, doc.Good, newSongs(r).tone(), name)
		for other, y := range planted {
			if other != name && y.says != x.says {
				require.NotContains(t, r.summary(), y.says, "%s beside %s", other, name)
			}
		}
	}
}

// TestHeadlineOrder: dropped before cut short, then wrong pitches, unplayed notes,
// voices without a jack, tails; in several songs alike.
func TestHeadlineOrder(t *testing.T) {
	r := demoOn(t, eightVoices())
	r.NoJack, r.OldReadings, r.Flags.Unmapped, r.UnmappedFrom = []string{"K1"}, []string{"K2"}, 7, []string{"channel 10"}
	for _, text := range []string{r.summary(), newSongs(r).summary()} {
		at := -1
		for _, words := range []string{"cut short", "wrong pitch", "no part", "K1 has no jack", "old readings", "tail"} {
			next := strings.Index(text, words)
			require.Greater(t, next, at, "%q in %s", words, text)
			at = next
		}
	}
}

// TestWorstSongFirst: a song of which no part plays three notes comes before one
// that loses one.
func TestWorstSongFirst(t *testing.T) {
	whole, cut := onRig(t, "banks: {K: {voices: 5, kind: v}}\n"), onRig(t, planted["cut short"].rig)
	silent := onRig(t, planted["unplayed"].rig)
	p := planOf(t, "kiln-yard.yaml", eightVoices())
	v := contract.NewSongs(p, []*contract.Result{whole.Result, cut.Result, silent.Result}, nil)
	require.Equal(t, []int{2, 1, 0}, v.Order)
}

// TestWhatItRestsOn: the release is assumed where neither rig nor run gives it, and
// stays so beside one that is given. Without a tail it moves nothing.
func TestWhatItRestsOn(t *testing.T) {
	const window = " The CV range is not measured: it decides which pitches are right."
	require.Equal(t, "Rests on: release 0 s (from the rig). Release 30 % longer or shorter: no change."+window,
		onRig(t, "banks: {K: {voices: 5, kind: v}}\n").basis())
	require.Contains(t, onRig(t, "banks: {K: {voices: 4, kind: v}, L: {voices: 1}}\n").basis(), "Rests on: release 1.50 s (not measured).")
	require.Contains(t, demoOn(t, eightVoices()).basis(), "Rests on: release 2.40 s (from the rig). Release 30 % longer: 244 tails cut; shorter: 237.")
}

// TestSparkLine: each bar is as high as its share of the most.
func TestSparkLine(t *testing.T) {
	require.Equal(t, ".▁▅█", sparkLine([]float64{0, 0.1, 4, 8}))
	r := demoOn(t, eightVoices())
	require.Regexp(t, `^Losses by bar  [.▁▂▃▄▅▆▇█]{17}  most in bar \d+: \d+ losses$`, r.spark().Text)
	r.Bars = 100 // 4 bars a sign
	require.Regexp(t, `^Losses by 4 bars  [.▁▂▃▄▅▆▇█]{25}  most`, r.spark().Text)
}
