package recorded

import (
	"math"
	"math/cmplx"
	"slices"

	"gonum.org/v1/gonum/dsp/fourier"
)

// Bounds of what is looked at, in hertz.
const (
	lowestHertz  = 40.0
	highestHertz = 8_000.0
)

// spectrum is the power of a piece of sound by frequency, less its noise.
type spectrum struct {
	step  float64   // hertz between bins
	half  float64   // hertz from the middle of a tone to the end of its main lobe
	sum   []float64 // mean square up to and without a bin
	noise float64   // mean square of a bin
	low   int       // first bin
	high  int       // bin after the last
	total float64   // mean square of all that is no noise
}

// spectra makes spectra, and keeps what they share.
type spectra struct {
	rate    float64
	fft     map[int]*fourier.FFT
	windows map[int][]float64
	padded  []float64    // as many as any transform took
	bins    []complex128 // of the last transform
}

func newSpectra(rate float64) *spectra {
	return &spectra{rate: rate, fft: map[int]*fourier.FFT{}, windows: map[int][]float64{}}
}

// hann is the window of so many samples.
func (s *spectra) hann(n int) []float64 {
	w := s.windows[n]
	if w == nil {
		w = make([]float64, n)
		for i := range w {
			w[i] = 0.5 - 0.5*math.Cos(2*math.Pi*(float64(i)+0.5)/float64(n))
		}
		s.windows[n] = w
	}
	return w
}

// of is the spectrum of samples under a Hann window: the main lobe of a tone is two
// bins of the unpadded transform to either side (Harris 1978, table I).
func (s *spectra) of(x []float64) *spectrum {
	n := 1
	for n < 2*len(x) {
		n *= 2
	}
	if s.fft[n] == nil {
		s.fft[n] = fourier.NewFFT(n)
	}
	if len(s.padded) < n {
		s.padded = make([]float64, n)
	}
	padded, squares := s.padded[:n], 0.0
	clear(padded)
	window := s.hann(len(x))
	for i, v := range x {
		w := window[i]
		padded[i] = v * w
		squares += w * w
	}
	if cap(s.bins) < n/2+1 {
		s.bins = make([]complex128, n/2+1)
	}
	bins := s.fft[n].Coefficients(s.bins[:n/2+1], padded)
	out := &spectrum{step: s.rate / float64(n), half: 2 * s.rate / float64(len(x))}
	out.low = int(lowestHertz / out.step)
	out.high = min(len(bins)-1, int(math.Min(highestHertz, 0.45*s.rate)/out.step))
	power := make([]float64, out.high)
	scale := 2 / (float64(n) * squares)
	for i := range power {
		re, im := real(bins[i]), imag(bins[i])
		power[i] = (re*re + im*im) * scale
	}
	// Of noise the median of the power is ln 2 of its mean (an exponential distribution).
	sorted := slices.Clone(power[out.low:])
	slices.Sort(sorted)
	out.noise = sorted[len(sorted)/2] / math.Ln2
	out.accumulate(power)
	return out
}

func (s *spectrum) accumulate(power []float64) {
	s.sum = make([]float64, len(power)+1)
	for i, p := range power {
		s.sum[i+1] = s.sum[i] + p
	}
	s.total = math.Max(0, s.between(s.low, s.high))
}

// between is the power of some bins, without noise.
func (s *spectrum) between(low, high int) float64 {
	low, high = max(low, s.low), min(high, s.high)
	if high <= low {
		return 0
	}
	return math.Max(0, s.sum[high]-s.sum[low]-s.noise*float64(high-low))
}

// tooth is the power of a tone.
func (s *spectrum) tooth(hertz float64) float64 {
	return s.between(int(math.Ceil((hertz-s.half)/s.step)), int((hertz+s.half)/s.step)+1)
}

// without is the spectrum with the harmonics of a tone left out.
func (s *spectrum) without(hertz float64) *spectrum {
	power := make([]float64, s.high)
	for i := range power {
		power[i] = s.sum[i+1] - s.sum[i]
	}
	for f := hertz; f < float64(s.high)*s.step; f += hertz {
		for i := max(0, int((f-s.half)/s.step)); i <= min(len(power)-1, int((f+s.half)/s.step)+1); i++ {
			power[i] = s.noise
		}
	}
	out := *s
	out.accumulate(power)
	return &out
}

const (
	// mostHarmonics is how many harmonics make a comb.
	mostHarmonics = 16
	// withinCents is how far off a key a comb is looked for.
	withinCents = 60.0
	// leastOwn is the least share of a comb that lies on harmonics of its own.
	leastOwn = 0.003
)

// primes are the multiples whose harmonics a comb must not have alone.
var primes = []int{2, 3, 5, 7}

// comb is a tone that was found near a pitch.
type comb struct {
	hertz float64
	power float64 // mean square; 0 where there is none
	share float64 // of all that is heard
}

// comb finds the tone near a pitch in hertz.
func (s *spectrum) comb(about float64) (best comb) {
	for cents := -withinCents; cents <= withinCents; cents++ {
		hertz := about * math.Exp2(cents/1200)
		power := 0.0
		for h := 1; h <= mostHarmonics && hertz*float64(h) < float64(s.high)*s.step; h++ {
			power += s.tooth(hertz * float64(h))
		}
		if power > best.power {
			best.hertz, best.power = hertz, power
		}
	}
	if best.power == 0 || s.total == 0 || !s.owns(best) {
		return comb{hertz: about}
	}
	best.share = math.Min(1, best.power/s.total)
	return best
}

// owns tells whether a comb has harmonics that no multiple of it has.
func (s *spectrum) owns(c comb) bool {
	for _, p := range primes {
		own := 0.0
		for h := 1; h <= mostHarmonics; h++ {
			if h%p != 0 {
				own += s.tooth(c.hertz * float64(h))
			}
		}
		if own < leastOwn*c.power {
			return false
		}
	}
	return true
}

// phasor is the complex amplitude of a tone in samples that begin at a time, under a
// Hann window; of a sine it is half its peak.
func (s *spectra) phasor(x []float64, hertz, from float64) complex128 {
	turn := cmplx.Rect(1, -2*math.Pi*hertz/s.rate)
	at := cmplx.Rect(1, -2*math.Pi*math.Mod(hertz*from, 1))
	sum, weights := 0i, 0.0
	window := s.hann(len(x))
	for i, v := range x {
		w := window[i]
		sum += complex(w*v, 0) * at
		weights += w
		at *= turn
	}
	return sum / complex(weights, 0)
}
