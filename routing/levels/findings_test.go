package levels

import (
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

// Either side of each clip. Nine saws: sigma 3·2.88675 = 8.66025 V, four sigma
// 34.641 V, below 10.5 V at −10.37 dB; peak 45 V, at −12.64 dB. Twenty behind
// −11 dB and −8 dB: 4·2.88675·√20·10^(−19/20) = 5.794 V.
func TestFindings(t *testing.T) {
	counts := Counts{Banks: []int{9, 9, 2}, All: 20}
	for name, c := range map[string]struct {
		levels string
		step   bool
		want   []string
	}{
		"nothing said of levels": {"", false, nil},
		"just below":             {"levels: {submix: -10.4 dB, main: -8 dB}", false, nil},
		"just above": {"levels: {submix: -10.3 dB, main: -8 dB}", false, []string{
			"9 voices behind the submixer of K, L reach 10.6 V at four sigma, 13.7 V if all peaks meet; the clip is at 10.5 V"}},
		"in step, just below": {"levels: {submix: -12.7 dB, main: -20 dB}", true, nil},
		"in step, just above": {"levels: {submix: -12.6 dB, main: -20 dB}", true, []string{
			"9 voices behind the submixer of K, L are in step and reach 10.5 V; the clip is at 10.5 V"}},
		"the main mixer": {"levels: {submix: -11 dB, main: -2.8 dB}", false, []string{
			"20 voices behind the main mixer reach 10.5 V at four sigma, 20.4 V if all peaks meet; the clip is at 10.5 V"}},
		"the main mixer, just below": {"levels: {submix: -11 dB, main: -2.9 dB}", false, nil},
		"a voice alone": {"levels: {voice: 22 Vpp, submix: -40 dB}", false, []string{
			"a voice alone reaches 11.0 V; the clip is at 10.5 V"}},
		"a voice at the clip": {"levels: {voice: 21 Vpp, submix: -40 dB}", false, nil},
	} {
		t.Run(name, func(t *testing.T) {
			r := rig(t, c.levels)
			var texts []string
			for _, f := range New(r.Levels, counts, []bool{c.step, c.step, c.step}).Find(r) {
				require.Equal(t, routing.MayClip, f.Code)
				require.True(t, f.Assumed) // the count is that of the rack
				require.Negative(t, *f.Value)
				texts = append(texts, f.Text)
			}
			require.Equal(t, c.want, texts)
		})
	}
}

func TestHintNamesBothGains(t *testing.T) {
	r := rig(t, "levels: {submix: -6 dB, main: -30 dB}")
	f := New(r.Levels, Counts{Banks: []int{9, 0, 0}, All: 9, Counted: true}, make([]bool, 3)).Find(r)
	require.Len(t, f, 1)
	require.False(t, f[0].Assumed)
	// 20·log10(10.5/45) and 20·log10(10.5/34.641)
	require.Equal(t, "a gain of -12.6 dB never clips, one of -10.4 dB only past four sigma; it is -6.0 dB", f[0].Hint)
}
