package hearing

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// The exponential and the logarithm of package math are the other opinion.
func TestArithmetic(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.Float64Range(-699, 699).Draw(t, "x")
		require.InEpsilon(t, math.Exp(x), exp(x), 1e-14)
		y := rapid.Float64Range(1e-300, 1e300).Draw(t, "y")
		require.InDelta(t, math.Log(y), log(y), 1e-13*max(1, math.Abs(math.Log(y))))
	})
	for _, x := range []float64{0, 1, -1, 700, 0.5, math.Ln2, -math.Ln2} {
		require.InEpsilon(t, math.Exp(x), exp(x), 1e-14)
	}
	require.Zero(t, exp(-701))
	require.Zero(t, log(1))
	require.Equal(t, 1.0, exp(0))
}

func TestEar(t *testing.T) {
	// By hand: 24.7·(4.37 + 1) = 132.639 Hz; 21.4·log10(5.37) = 15.6215.
	require.InDelta(t, 132.64, erb(1000), 0.005)
	require.InDelta(t, 15.62, cam(1000), 0.005)
	// ISO 226:2003, table 1, from memory; between two rows, half way of the
	// logarithm, their mean.
	for _, c := range [][2]float64{{10, 78.5}, {20, 78.5}, {100, 26.5}, {250, 11.4}, {500, 4.4}, {1000, 2.4}, {2000, -1.3}, {4000, -5.4},
		{8000, 12.6}, {12500, 12.3}, {16000, 12.3}, {math.Sqrt(1000 * 1250), (2.4 + 3.5) / 2}} {
		require.InDelta(t, c[1], threshold(c[0]), 1e-9, "%v Hz", c[0])
	}
	require.InDelta(t, 1000, camHz(cam(1000)), 1e-9)
	require.InDelta(t, 2, cam(BandHz(0)), 1e-12)
	require.InDelta(t, 38, cam(BandHz(Bands-1)), 1e-12)
	// A tone at threshold, in the band it is the centre of: 10·log10(1 + 10^−0.587) =
	// 1.00 dB. So the noise lies at −10·log10(10^0.1 − 1) = 5.87 dB over it.
	require.InDelta(t, 5.87, -10*math.Log10(math.Pow(10, 0.1)-1), 0.005)
	for _, b := range []int{0, 20, 50, 72} {
		tone := power(threshold(BandHz(b))) * theEar.weight(b, BandHz(b))
		require.InDelta(t, 1, decibels((tone+theEar.noise[b])/theEar.noise[b]), 0.002)
	}
	// Powers add: 10·log10 2 = 3.0103; one of three goes: 10·log10(3/2) = 1.7609;
	// 1 dB is 10^(−0.1) = 79.4 % of the power, so 20.6 % less.
	require.InDelta(t, 3.0103, decibels(2), 1e-4)
	require.InDelta(t, 1.7609, decibels(1.5), 1e-4)
	require.InDelta(t, 0.206, 1-power(-1), 5e-4)
}

// The fast sum over harmonics against one exponential for each.
func TestTone(t *testing.T) {
	for _, wave := range []Wave{Saw, Square, Triangle, Sine} {
		s := Sound{Wave: wave, Cutoff: 2000, Track: 0.5}
		for _, key := range []int{-48, 0, 24, 60, 69, 93, 127, 138, 139, 175} {
			f0 := pitch(key)
			powers := s.powers(key, s.gain(70))
			got := newTone(f0, powers)
			for b := range Bands {
				want := 0.0
				for h := 1; float64(h)*f0 <= 16000; h++ {
					want += powers[h-1] * theEar.weight(b, float64(h)*f0)
				}
				require.InDelta(t, want, got.excites[b], 1e-9*want+1e-4*theEar.noise[b], "wave %d key %d band %d", wave, key, b)
			}
		}
	}
}

func TestSound(t *testing.T) {
	require.InDelta(t, 440, pitch(69), 1e-9)
	require.InDelta(t, 261.6255653006, pitch(60), 1e-9) // equal temperament, computed
	for wave, want := range [][]float64{{1, 1. / 2, 1. / 3, 1. / 4}, {1, 0, 1. / 3, 0}, {1, 0, 1. / 9, 0}, {1, 0, 0, 0}} {
		s := Sound{Wave: Wave(wave), Cutoff: 2000}
		for h, amplitude := range want {
			f := 500 * float64(h+1)
			filter := math.Pow(1+(f/2000)*(f/2000), -2)
			require.InDelta(t, math.Pow(amplitude*filter, 2), s.harmonic(60, h+1, 500), 1e-12)
		}
		sum := 0.0
		for _, p := range s.powers(60, s.gain(70)) {
			sum += p
		}
		require.InDelta(t, 70, decibels(sum), 1e-9)
	}
	// (1 + 1)⁻² is −12.04 dB at fc; (1 + 0.435²)⁻² is −3.0 dB.
	s := Sound{Wave: Sine, Cutoff: 1000, Track: 1}
	require.InDelta(t, -12.04, decibels(s.harmonic(60, 1, 1000)), 0.005)
	require.InDelta(t, -3.0, decibels(s.harmonic(60, 1, 435)), 0.02)
	require.InDelta(t, -12.04, decibels(s.harmonic(72, 1, 2000)), 0.005, "tracking by an octave")
}
