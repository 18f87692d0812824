package levels

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/profiles"
)

// demo is the ladder of the defaults: saws of 10 Vpp, −6 and −12 dB, clip 10.5 V.
func demo(counts ...int) *Ladder {
	all := 0
	for _, n := range counts {
		all += n
	}
	return New(profiles.Levels{Voice: 10, Shape: profiles.Saw, Clip: 10.5, Submix: -6, Main: -12},
		Counts{Banks: counts, All: all}, make([]bool, len(counts)))
}

// A ±5 V saw is 5/√3 = 2.887 V rms; a 5 V peak sine is 20·log10(5/√2/0.7746) =
// +13.2 dBu. Crest of a sine 10·log10 2 = 3.0103 dB, of a saw and a triangle
// 10·log10 3 = 4.7712.
func TestOneVoice(t *testing.T) {
	l := demo(4)
	require.InDelta(t, 2.887, float64(l.Voice.Sigma()), 5e-4)
	require.InDelta(t, 5, float64(l.Voice.CoherentPeak()), 1e-12)
	require.InDelta(t, 6.444, float64(l.Voice.Headroom(5)), 1e-3) // 20·log10(10.5/5)
	require.InDelta(t, 13.2, float64(DBu(5/profiles.Volts(math.Sqrt2))), 0.05)
	for shape, want := range map[profiles.Shape]float64{profiles.Sine: 3.0103, profiles.Saw: 4.7712, profiles.Triangle: 4.7712, profiles.Square: 0} {
		require.InDelta(t, want, 20*math.Log10(crest(shape)), 1e-4)
	}
}

// Level-addition tables: incoherent 3.01, 4.77, 6.02, 9.03, 12.04 dB for 2, 3,
// 4, 8, 16; coherent double that.
func TestSums(t *testing.T) {
	one := demo(1).Banks[0]
	for n, want := range map[int]float64{2: 3.01, 3: 4.77, 4: 6.02, 8: 9.03, 16: 12.04} {
		s := demo(n).Banks[0]
		require.InDelta(t, want, float64(Decibels(float64(s.Sigma()/one.Sigma()))), 5e-3)
		require.InDelta(t, 2*want, float64(Decibels(float64(s.CoherentPeak()/one.CoherentPeak()))), 1e-2)
	}
}

// Written out for four saws behind −6 dB (0.501187): peak 4·5·0.501187 =
// 10.0237 V, 0.403 dB below the clip; sigma 2·2.88675·0.501187 = 2.89361 V,
// four of them 11.5744 V, but never more than the peak. Gains: 20·log10(10.5/20)
// = −5.597 dB never clips; 10.5/(4·5.7735) = 0.454664, −6.847 dB.
func TestSubmixer(t *testing.T) {
	s := demo(4).Banks[0]
	require.InDelta(t, 10.0237, float64(s.CoherentPeak()), 1e-4)
	require.InDelta(t, 2.89361, float64(s.Sigma()), 1e-5)
	require.Equal(t, s.CoherentPeak(), s.Crest())
	require.InDelta(t, 0.403, float64(s.Headroom(s.CoherentPeak())), 1e-3)
	require.InDelta(t, -5.597, float64(s.NeverClips()), 1e-3)
	require.InDelta(t, -6.847, float64(s.FourSigma()), 1e-3)
	require.Zero(t, s.ClipShare()) // it cannot get there
}

// The main mixer of the demo: 20 voices behind −18 dB (0.125893): peak
// 100·0.125893 = 12.5893 V, over the clip; sigma 2.88675·4.47214·0.125893 =
// 1.62528 V, four of them 6.5011 V. erfc(10.5/(1.62528·√2)) is that of 6.46
// sigma: about 1e-10. In step only the coherent peak counts.
func TestMain(t *testing.T) {
	l := demo(4, 4, 4, 4, 4)
	s := l.Main
	require.InDelta(t, 12.5893, float64(s.CoherentPeak()), 1e-4)
	require.InDelta(t, 6.5011, float64(s.Crest()), 1e-4)
	require.InDelta(t, 1e-10, s.ClipShare(), 2e-11)
	require.InDelta(t, -12-1.576, float64(s.NeverClips()), 1e-3) // 20·log10(10.5/12.5893)
	s.Coherent = true
	require.InDelta(t, 12.5893, float64(s.Crest()), 1e-4)
}

// The gain that never clips really is the last one that does not, and with
// random phases four sigma hold but for as small a share as erfc says: saws of
// random phases, seeded, against the formula, which takes their sum for normal.
func TestClipShareAgainstRandomPhases(t *testing.T) {
	const n = 16
	s := Stage{Voices: n, Peak: 5, RMS: profiles.Volts(5 / math.Sqrt(3)), Clip: 2 * 4 * profiles.Volts(5/math.Sqrt(3))} // two sigma
	rng := rand.New(rand.NewPCG(1, 2))
	over := 0
	const draws = 400_000
	for range draws {
		sum := 0.0
		for range n {
			sum += 10*rng.Float64() - 5 // a saw at a random phase is anywhere alike
		}
		if math.Abs(sum) > float64(s.Clip) {
			over++
		}
	}
	require.InDelta(t, 0.0455, s.ClipShare(), 1e-4) // erfc(√2) = 0.0455: two sigma of a normal distribution
	require.InDelta(t, s.ClipShare(), float64(over)/draws, 2e-3)
}

func TestNothingSounds(t *testing.T) {
	s := demo(0).Banks[0]
	require.Zero(t, s.CoherentPeak())
	require.True(t, math.IsInf(float64(s.Headroom(s.Crest())), 1))
	require.Zero(t, s.ClipShare())
}
