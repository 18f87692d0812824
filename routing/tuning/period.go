package tuning

import (
	"math"
	"math/cmplx"

	"gonum.org/v1/gonum/dsp/fourier"
)

// The period of a tone by its difference function, after de Cheveigné &
// Kawahara 2002 (JASA 111): d(τ) = Σ (x_j − x_{j+τ})², divided by its mean over
// shorter lags, which starts at 1 and is near 0 at the period. The first
// minimum below 0.1 is the period.
//
// Two departures. The difference function is worked out by Fourier transform,
// from the autocorrelation and the energies. And since a period of a few
// samples is only known to a fraction of one, the minimum is then followed to
// twice, four times … the lag, where the same fraction is of many periods.

const (
	// aperiodicLimit is the absolute threshold of that paper.
	aperiodicLimit = 0.1
	// lowestHertz and highestHertz bound the search.
	lowestHertz, highestHertz = 15.0, 6000.0
)

// differences is d(τ) for lags up to most, over the whole of x but most:
// every lag is summed over as many products.
func differences(x []float64, most int) []float64 {
	window := len(x) - most
	size := powerOfTwo(len(x))
	fft := fourier.NewFFT(size)
	padded := make([]float64, size)
	copy(padded, x)
	all := fft.Coefficients(nil, padded)
	clear(padded)
	copy(padded, x[:window])
	head := fft.Coefficients(nil, padded)
	for i := range all {
		all[i] *= cmplx.Conj(head[i])
	}
	correlation := fft.Sequence(padded, all)
	d := make([]float64, most+1)
	var first, moved float64
	for _, v := range x[:window] {
		first += v * v
	}
	moved = first
	for lag := range d {
		if lag > 0 {
			moved += x[window+lag-1]*x[window+lag-1] - x[lag-1]*x[lag-1]
			d[lag] = max(0, first+moved-2*correlation[lag]/float64(size))
		}
	}
	return d
}

func powerOfTwo(n int) int {
	size := 1
	for size < n {
		size *= 2
	}
	return size
}

// normalized is the difference function over its mean so far; 1 at lag 0.
func normalized(d []float64) []float64 {
	out := make([]float64, len(d))
	out[0] = 1
	var sum float64
	for lag := 1; lag < len(d); lag++ {
		sum += d[lag]
		out[lag] = 1
		if sum > 0 {
			out[lag] = d[lag] * float64(lag) / sum
		}
	}
	return out
}

// firstDip is the first lag from least at which the normalized difference has a
// minimum below the threshold, or else its lowest; with its value there.
func firstDip(n []float64, least int) (lag int, value float64) {
	lag, value = least, math.Inf(1)
	for i := max(1, least); i+1 < len(n); i++ {
		if n[i] < aperiodicLimit && n[i] <= n[i+1] {
			return i, n[i]
		}
		if n[i] < value {
			lag, value = i, n[i]
		}
	}
	return lag, value
}

// bottom refines a minimum by the parabola through it and its neighbours.
func bottom(d []float64, lag int) float64 {
	if lag < 1 || lag+1 >= len(d) {
		return float64(lag)
	}
	return float64(lag) + vertex(d[lag-1], d[lag], d[lag+1])
}

// vertex is where, in steps from the middle one of three values, the parabola
// through them turns: ½(α − γ)/(α − 2β + γ) (J. O. Smith, Spectral Audio Signal
// Processing).
func vertex(a, b, c float64) float64 {
	if curve := a - 2*b + c; curve != 0 {
		return max(-0.5, min(0.5, (a-c)/(2*curve)))
	}
	return 0
}

// period is the period of a tone in samples, with how far it is from periodic:
// 0 exactly, above aperiodicLimit not to be trusted. ok is false where the piece
// is too short for periods at all.
func period(x []float64, rate int) (samples, aperiodic float64, ok bool) {
	longest := min(int(float64(rate)/lowestHertz)+2, len(x)/3)
	shortest := int(float64(rate) / highestHertz)
	if longest <= shortest+2 {
		return 0, 1, false
	}
	piece := x
	if enough := 4 * longest; len(piece) > enough { // of the middle
		piece = piece[(len(x)-enough)/2:][:enough]
	}
	d := differences(piece, longest)
	lag, aperiodic := firstDip(normalized(d), shortest)
	return follow(x, bottom(d, lag)), aperiodic, true
}

// follow takes a period to longer and longer lags, up to half of the piece, and
// returns it as the share of the longest.
func follow(x []float64, samples float64) float64 {
	most := min(len(x)/2, 1<<15)
	d := differences(x, most)
	for times := 2.0; times*samples < float64(most)-samples; times *= 2 {
		lag := lowest(d, times*samples, samples/4)
		samples = bottom(d, lag) / times
	}
	return samples
}

// lowest is the lowest point of a difference function within so many samples of
// a lag.
func lowest(d []float64, around, within float64) int {
	from, to := int(math.Ceil(around-within)), int(around+within)
	best := int(math.Round(around))
	for lag := max(1, from); lag <= to && lag < len(d); lag++ {
		if d[lag] < d[best] {
			best = lag
		}
	}
	return best
}
