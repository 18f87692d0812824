package levels

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/profiles"
)

// demo is the ladder of the defaults: saws of 10 Vpp, −6 and −12 dB, clip 10.5 V.
func demo(t *testing.T, counts ...int) *Ladder {
	all, banks := 0, ""
	for i, n := range counts {
		all += n
		banks += fmt.Sprintf("%c: {voices: 1}, ", 'K'+i)
	}
	r, faults := profiles.Read("test.yaml", []byte("rig: Test\nbanks: {"+banks+"}\n"), nil)
	require.Empty(t, faults)
	return New(r, Counts{Banks: counts, All: all}, make([]bool, len(counts)))
}

// A ±5 V saw is 5/√3 = 2.887 V rms; a 5 V peak sine is 20·log10(5/√2/0.7746) =
// +13.2 dBu. Crest of a sine 10·log10 2 = 3.0103 dB, of a saw and a triangle
// 10·log10 3 = 4.7712.
func TestOneVoice(t *testing.T) {
	l := demo(t, 4)
	require.InDelta(t, 2.887, float64(l.Voice.Sigma()), 5e-4)
	require.InDelta(t, 5, float64(l.Voice.CoherentPeak()), 1e-12)
	require.InDelta(t, 6.444, float64(l.Voice.Headroom(5)), 1e-3) // 20·log10(10.5/5)
	require.InDelta(t, 13.2, float64(DBu(5/profiles.Volts(math.Sqrt2))), 0.05)
	for shape, want := range map[profiles.Shape]float64{profiles.Sine: 3.0103, profiles.Saw: 4.7712, profiles.Triangle: 4.7712, profiles.Square: 0} {
		require.InDelta(t, want, -10*math.Log10(power[shape]), 1e-4)
	}
}

// Level-addition tables: incoherent 3.01, 4.77, 6.02, 9.03, 12.04 dB for 2, 3,
// 4, 8, 16; coherent double that.
func TestSums(t *testing.T) {
	one := demo(t, 1).Banks[0]
	for n, want := range map[int]float64{2: 3.01, 3: 4.77, 4: 6.02, 8: 9.03, 16: 12.04} {
		s := demo(t, n).Banks[0]
		require.InDelta(t, want, float64(Decibels(float64(s.Sigma()/one.Sigma()))), 5e-3)
		require.InDelta(t, 2*want, float64(Decibels(float64(s.CoherentPeak()/one.CoherentPeak()))), 1e-2)
	}
}

// Written out for four saws behind −6 dB (0.501187): peak 4·5·0.501187 =
// 10.0237 V, 0.403 dB below the clip; sigma 2·2.88675·0.501187 = 2.89361 V. Passed
// for 0.0001 of the time, since 4!·0.0001/2 = x⁴ gives x = 0.186121: 4 − 2x =
// 3.62776 peaks, 9.0910 V. Gain: 20·log10(10.5/20) = −5.597 dB never clips.
func TestSubmixer(t *testing.T) {
	s := demo(t, 4).Banks[0]
	require.InDelta(t, 10.0237, float64(s.CoherentPeak()), 1e-4)
	require.InDelta(t, 2.89361, float64(s.Sigma()), 1e-5)
	require.InDelta(t, 9.0910, float64(s.Crest()), 1e-4)
	require.InDelta(t, 0.403, float64(s.Headroom(s.CoherentPeak())), 1e-3)
	require.InDelta(t, -5.597, float64(s.NeverClips()), 1e-3)
	require.Zero(t, s.ClipShare()) // it cannot get there
	s.Coherent = true
	require.Equal(t, s.CoherentPeak(), s.Crest())
}

// The main mixer of the demo: 20 voices behind −18 dB (0.125893): peak
// 100·0.125893 = 12.5893 V, over the clip; sigma 2.88675·4.47214·0.125893 =
// 1.62527 V. The clip is at 10.5/(5·0.125893) = 16.6809 peaks: x = 1.65954, and
// (2/20!)·(1.65954²⁰ − 20·0.65954²⁰) = 2.06e-14 of the time. In step the sum is one
// saw of 12.5893 V, past the clip for 1 − 10.5/12.5893 = 16.6 % of the time.
func TestMain(t *testing.T) {
	s := demo(t, 4, 4, 4, 4, 4).Main
	require.InDelta(t, 12.5893, float64(s.CoherentPeak()), 1e-4)
	require.InDelta(t, 1.62527, float64(s.Sigma()), 1e-5)
	require.InEpsilon(t, 2.06e-14, s.ClipShare(), 5e-3)
	require.InDelta(t, -12-1.576, float64(s.NeverClips()), 1e-3) // 20·log10(10.5/12.5893)
	s.Coherent = true
	require.InDelta(t, 12.5893, float64(s.Crest()), 1e-4)
	require.InDelta(t, 1-10.5/12.5893, s.ClipShare(), 1e-5)
}

// The waves are those of levels where they are written there, else those of the
// kinds; of all that sound at once those are taken that sum furthest out.
func TestWaves(t *testing.T) {
	const kinds = "voices: {a: {sound: {wave: square}}, b: {sound: {wave: sine}}, c: {}}\n" +
		"banks: {K: {voices: 2, kind: a}, L: {voices: 2, kind: b}, M: {voices: 2, kind: c}}\n"
	counts := Counts{Banks: []int{2, 2, 2}, All: 5}
	for text, want := range map[string]struct {
		main  Mix
		given []bool
	}{
		kinds:                                 {Mix{profiles.Square: 2, profiles.Sine: 2, profiles.Saw: 1}, []bool{true, true, false, false}},
		kinds + "levels: {shape: triangle}\n": {Mix{profiles.Triangle: 5}, []bool{true, true, true, true}},
	} {
		r, faults := profiles.Read("test.yaml", []byte("rig: Test\n"+text), nil)
		require.Empty(t, faults)
		l := New(r, counts, make([]bool, 3))
		require.Equal(t, want.main, l.Main.Voices)
		require.Equal(t, want.given, []bool{l.Banks[0].WaveGiven, l.Banks[1].WaveGiven, l.Banks[2].WaveGiven, l.Main.WaveGiven})
	}
}

func TestNothingSounds(t *testing.T) {
	s := demo(t, 0).Banks[0]
	require.Zero(t, s.CoherentPeak())
	require.True(t, math.IsInf(float64(s.Headroom(s.Crest())), 1))
	require.Zero(t, s.ClipShare())
}
