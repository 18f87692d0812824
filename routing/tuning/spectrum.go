package tuning

import (
	"cmp"
	"math"
	"math/cmplx"
	"slices"

	"gonum.org/v1/gonum/dsp/fourier"
)

const (
	// mostHarmonics is how many harmonics share in a pitch.
	mostHarmonics = 40
	// edgeSigma is how many deviations of the Gaussian window lie between its
	// middle and its ends: its foot is at −39 dB, its side lobes below −60 dB.
	edgeSigma = 3.0
	// clearOf is by how many dB a harmonic must stand above the spectrum around
	// it.
	clearOf = 20.0
	// strayCents is how far a harmonic may lie off the others before it is left
	// out: hum and other tones.
	strayCents = 1.0
)

// spectrum is the spectrum of a tone through a Gaussian window, for which the
// parabola through three values in dB has its vertex exactly at the frequency
// (J. O. Smith, Spectral Audio Signal Processing).
type spectrum struct {
	power []float64 // |X|²
	total float64   // its sum
	bin   float64   // hertz from value to value
	wide  float64   // bins from the top of a peak to where the window ends it
}

func newSpectrum(x []float64, rate int) *spectrum {
	size := 2 * powerOfTwo(len(x))
	padded := make([]float64, size)
	middle := float64(len(x)-1) / 2
	for i, v := range x {
		t := edgeSigma * (float64(i) - middle) / middle
		padded[i] = v * math.Exp(-t*t/2)
	}
	coefficients := fourier.NewFFT(size).Coefficients(nil, padded)
	s := &spectrum{power: make([]float64, len(coefficients)), bin: float64(rate) / float64(size)}
	for i, c := range coefficients {
		a := cmplx.Abs(c)
		s.power[i] = a * a
		s.total += s.power[i]
	}
	// a deviation of the window in time is n/(2·edgeSigma); in frequency its
	// transform has the deviation edgeSigma/(π·n) of the rate; five of these
	s.wide = 5 * edgeSigma / (math.Pi * float64(len(x))) * float64(size)
	return s
}

// peak is a top of a spectrum.
type peak struct {
	hertz float64
	clear float64 // power over that of the spectrum around it
	share float64 // of the whole power, 0–1
}

// peakNear is the highest top within so many hertz; ok is false if there is
// none that is clear.
func (s *spectrum) peakNear(hertz, within, apart float64) (p peak, ok bool) {
	from, to := int((hertz-within)/s.bin), int(math.Ceil((hertz+within)/s.bin))
	if from < 2 || to > len(s.power)-3 {
		return p, false
	}
	best := from
	for i := from; i <= to; i++ {
		if s.power[i] > s.power[best] {
			best = i
		}
	}
	if best == from || best == to || s.power[best] == 0 {
		return p, false
	}
	db := func(i int) float64 { return 10 * math.Log10(s.power[i]+math.SmallestNonzeroFloat64) }
	p.hertz = s.bin * (float64(best) + vertex(db(best-1), db(best), db(best+1)))
	p.clear = s.power[best] / (s.around(best, apart) + 1e-30*s.power[best])
	for i := max(0, best-int(s.wide)); i <= best+int(s.wide) && i < len(s.power); i++ {
		p.share += s.power[i] / s.total
	}
	return p, p.clear > math.Pow(10, clearOf/10)
}

// around is the median power of the spectrum on both sides of a peak, up to
// half way to the next harmonic.
func (s *spectrum) around(at int, apart float64) float64 {
	near, far := int(s.wide)+1, int(apart/s.bin/2)
	far = min(max(far, near+8), near+512)
	var values []float64
	for off := near; off <= far; off++ {
		for _, i := range [...]int{at - off, at + off} {
			if i >= 0 && i < len(s.power) {
				values = append(values, s.power[i])
			}
		}
	}
	return median(values)
}

// harmonic is what one harmonic says of the fundamental.
type harmonic struct {
	fundamental float64
	weight      float64 // one over the variance of that, up to a factor
	share       float64 // of the power of the tone
}

// fundamental gathers what the harmonics say of a fundamental that is known to
// about a quarter of a semitone. An estimate from the n-th of power p over
// noise has a variance of 1/(n²·p). Harmonics that lie off the weighted median
// are left out. None is clear of the noise where used is 0; share is that of the
// power which the others bear.
func (s *spectrum) fundamental(about float64) (hertz float64, used int, share float64) {
	var all []harmonic
	guess, sum := about, 0.0
	for n := 1; n <= mostHarmonics; n++ {
		f := float64(n) * guess
		if f > s.bin*float64(len(s.power)-8) {
			break
		}
		within := max(2*s.wide*s.bin/5, f*0.004)
		if len(all) == 0 {
			within = max(within, f*0.015)
		}
		p, ok := s.peakNear(f, min(within, guess/2), guess)
		if !ok {
			continue
		}
		h := harmonic{p.hertz / float64(n), float64(n*n) * min(p.clear, 1e8), p.share}
		all = append(all, h)
		if sum+h.weight > 0 && math.Abs(1200*math.Log2(h.fundamental/guess)) < 8 {
			guess = (guess*sum + h.fundamental*h.weight) / (sum + h.weight)
			sum += h.weight
		}
	}
	return agreed(all)
}

// agreed is the weighted mean of those that lie near the weighted median.
func agreed(all []harmonic) (hertz float64, used int, share float64) {
	if len(all) == 0 {
		return 0, 0, 0
	}
	slices.SortFunc(all, func(a, b harmonic) int { return cmp.Compare(a.fundamental, b.fundamental) })
	var half float64
	for _, h := range all {
		half += h.weight / 2
	}
	middle := all[len(all)-1].fundamental
	for _, h := range all {
		if half -= h.weight; half <= 0 {
			middle = h.fundamental
			break
		}
	}
	var sum, weights float64
	for _, h := range all {
		if math.Abs(1200*math.Log2(h.fundamental/middle)) <= strayCents {
			sum, weights = sum+h.fundamental*h.weight, weights+h.weight
			used, share = used+1, share+h.share
		}
	}
	return sum / weights, used, share
}
