package levels

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/profiles"
	"choirloft/routing"
)

func rig(t *testing.T, text string) *profiles.Rig {
	rig, faults := profiles.Read("test.yaml", []byte("rig: Test\nbanks: {K: {voices: 9}, L: {voices: 9}, M: {voices: 2}}\n"+text), nil)
	require.Empty(t, faults)
	return rig
}

// Either side of each clip. Nine saws are past 6.2401 peaks for 0.01 % of the time,
// 31.2005 V: 10.5 V at −9.459 dB; their peak is 45 V, at −12.64 dB. Twenty are past
// 9.72872 peaks, behind −11 and −2.3 dB 48.6436·10^(−13.3/20) = 10.520 V.
func TestFindings(t *testing.T) {
	counts := Counts{Banks: []int{9, 9, 2}, All: 20}
	for name, c := range map[string]struct {
		levels string
		step   bool
		want   []string
	}{
		"nothing said of levels": {"", false, nil},
		"just below":             {"levels: {submix: -9.5 dB, main: -8 dB}", false, nil},
		"just above": {"levels: {submix: -9.4 dB, main: -8 dB}", false, []string{
			"9 voices behind the submixer of K, L pass 10.6 V for 0.01 % of the time, and reach 15.2 V if all peaks meet; the clip is at 10.5 V"}},
		"in step, just below": {"levels: {submix: -12.7 dB, main: -20 dB}", true, nil},
		"in step, just above": {"levels: {submix: -12.6 dB, main: -20 dB}", true, []string{
			"9 voices behind the submixer of K, L are in step and reach 10.5 V; the clip is at 10.5 V"}},
		"the main mixer": {"levels: {submix: -11 dB, main: -2.3 dB}", false, []string{
			"20 voices behind the main mixer pass 10.5 V for 0.01 % of the time, and reach 21.6 V if all peaks meet; the clip is at 10.5 V"}},
		"the main mixer, just below": {"levels: {submix: -11 dB, main: -2.4 dB}", false, nil},
		"a voice alone": {"levels: {voice: 22 Vpp, submix: -40 dB}", false, []string{
			"a voice alone reaches 11.0 V; the clip is at 10.5 V"}},
		"a voice at the clip": {"levels: {voice: 21 Vpp, submix: -40 dB}", false, nil},
	} {
		t.Run(name, func(t *testing.T) {
			r := rig(t, c.levels)
			var texts []string
			for _, f := range New(r, counts, []bool{c.step, c.step, c.step}).Find(r) {
				require.Equal(t, routing.MayClip, f.Code)
				require.True(t, f.Assumed) // nobody gave the clip
				require.Negative(t, *f.Value)
				texts = append(texts, f.Text)
			}
			require.Equal(t, c.want, texts)
		})
	}
}

func TestHintNamesBothGains(t *testing.T) {
	r := rig(t, "levels: {voice: 10 Vpp, shape: saw, clip: 10.5 V, submix: -6 dB, main: -30 dB}")
	f := New(r, Counts{Banks: []int{9, 0, 0}, All: 9, Counted: true}, make([]bool, 3)).Find(r)
	require.Len(t, f, 1)
	require.False(t, f[0].Assumed) // all is given, and the voices are counted
	// 20·log10(10.5/45) and 20·log10(10.5/31.2005)
	require.Equal(t, "a gain of -12.6 dB never clips, one of -9.5 dB clips 0.01 % of the time; it is -6.0 dB", f[0].Hint)
}

// What is assumed: each default by itself, and the count of voices that no song gave.
func TestAssumedFacts(t *testing.T) {
	given := []string{"voice: 10 Vpp", "shape: saw", "clip: 10.5 V", "submix: -6 dB", "main: 0 dB"}
	for leave, want := range map[int]map[string]bool{
		-1: {},
		0:  {"peak": true, "headroom": true, "never_clips": true, "passed": true, "clips_rarely": true},
		1:  {"headroom": true, "passed": true, "clips_rarely": true},
		2:  {"clip": true, "headroom": true, "never_clips": true, "clips_rarely": true},
		3:  {"peak": true, "headroom": true, "never_clips": true, "passed": true, "clips_rarely": true, "gain": true},
	} {
		keys := slices.Clone(given)
		if leave >= 0 {
			keys = slices.Delete(keys, leave, leave+1)
		}
		r := rig(t, "levels: {"+strings.Join(keys, ", ")+"}")
		f := New(r, Counts{Banks: []int{9, 0, 0}, All: 9, Counted: true}, make([]bool, 3)).Find(r)
		require.NotEmpty(t, f)
		got := map[string]bool{}
		for _, x := range f[0].Facts {
			if x.Assumed {
				got[x.Name] = true
			}
		}
		require.Equal(t, want, got, "without %d", leave)
	}
}
