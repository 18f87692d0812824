package hearing

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"testing"

	"choirloft/midi/corpora"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/dsp/fourier"
)

// What a chord excites by the model, and what it does without a note, against sound
// made of sines: the powers of its Fourier transform (gonum), weighted by the filter
// of each band, and averaged over phases before they are compared. In bands above 40
// dB they agree within 1 dB.
func TestAgainstRenderedSound(t *testing.T) {
	corpora.Patient(t)
	const samples, rate, phases = 16384, 48000.0, 40
	s := Sound{Wave: Saw, Cutoff: 2000}
	gain := s.gain(70)
	random := rand.New(rand.NewPCG(1, 2))
	transform := fourier.NewFFT(samples)
	hann, sum := make([]float64, samples), 0.0
	for i := range hann {
		hann[i] = 0.5 - 0.5*math.Cos(2*math.Pi*(float64(i)+0.5)/samples)
		sum += hann[i] * hann[i]
	}
	weights := make([][]float64, Bands)
	for b := range weights {
		weights[b] = make([]float64, samples/2+1)
		for k := range weights[b] {
			weights[b][k] = theEar.weight(b, float64(k)*rate/samples)
		}
	}
	for _, keys := range [][]int{{60}, {36, 48, 55, 60, 64}, {48, 52, 55, 59, 62}, {60, 72, 84, 93}} {
		var model, rendered row
		powers := make([]float64, samples/2+1)
		for range phases {
			sound := make([]float64, samples)
			for _, key := range keys {
				for h, p := range s.powers(key, gain) {
					if p < 1e-3 {
						continue // −30 dB
					}
					turn := cmplx.Rect(1, 2*math.Pi*float64(h+1)*pitch(key)/rate)
					z := cmplx.Rect(math.Sqrt(2*p), 2*math.Pi*random.Float64())
					for i := range sound {
						sound[i] += imag(z)
						z *= turn
					}
				}
			}
			for i := range sound {
				sound[i] *= hann[i]
			}
			for k, x := range transform.Coefficients(nil, sound) {
				powers[k] += 2 * real(x*cmplx.Conj(x)) / (samples * sum) / phases
			}
		}
		for b := range rendered {
			for k, power := range powers {
				rendered[b] += power * weights[b][k]
			}
		}
		for _, key := range keys {
			for b, x := range newTone(pitch(key), s.powers(key, gain)).excites {
				model[b] += x
			}
		}
		loud := 0
		for b := range model {
			if decibels(model[b]) > 40 {
				loud++
				require.InDelta(t, decibels(model[b]), decibels(rendered[b]), 1, "keys %v, band at %.0f Hz", keys, theEar.hz[b])
			}
		}
		require.Greater(t, loud, 20)
	}
}
