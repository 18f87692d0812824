package levels

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/dsp/fourier"

	"choirloft/profiles"
)

// Mix is how many voices of each waveform sound at once. Each has a peak of 1 and
// a phase that knows nothing of the others.
type Mix [profiles.Square + 1]int

// Voices is how many there are.
func (m Mix) Voices() (n int) {
	for _, k := range m {
		n += k
	}
	return n
}

// uniform tells whether every voice is anywhere between its peaks alike, as a
// saw and a triangle are.
func (m Mix) uniform() bool { return m[profiles.Sine]+m[profiles.Square] == 0 }

// mostExact is for how many uniform voices the formula is taken. Its terms
// alternate and grow: at 24 they cost three digits of sixteen.
const mostExact = 24

// Beyond is the share of the time, 0–1, for which the sum is more than c away
// from 0, in peaks of one voice.
func (m Mix) Beyond(c float64) float64 {
	n := m.Voices()
	switch {
	case c >= float64(n):
		return 0
	case m.uniform() && n <= mostExact:
		return beyondUniform(n, c)
	}
	return m.grid().beyond(c)
}

// Passed is the lowest level, in peaks of one voice, beyond which the sum is for
// at most this share of the time, 0–1.
func (m Mix) Passed(share float64) float64 {
	n := m.Voices()
	if n == 0 || !m.uniform() || n > mostExact {
		return m.grid().passed(share)
	}
	low, high := 0.0, float64(n)
	for range 50 {
		if middle := (low + high) / 2; beyondUniform(n, middle) > share {
			low = middle
		} else {
			high = middle
		}
	}
	return high
}

// beyondUniform is that of n uniform voices, 0 ≤ c ≤ n:
//
//	(2/n!)·Σ (−1)^k·C(n,k)·(x − k)^n, k from 0 to ⌊x⌋, x = (n − c)/2
//
// (J. O. Irwin and P. Hall, Biometrika 19, 1927; cited from memory).
func beyondUniform(n int, c float64) float64 {
	x := (float64(n) - c) / 2
	var sum float64
	weight := 2.0 // ±2·C(n,k)/n!
	for k := 1; k <= n; k++ {
		weight /= float64(k)
	}
	for k := 0.0; k <= x; k++ {
		sum += weight * math.Pow(x-k, float64(n))
		weight *= -(float64(n) - k) / (k + 1)
	}
	return max(0, min(1, sum))
}

// grid is the distribution of a sum, by cells that are a part of a peak wide.
type grid struct {
	parts int // cells in a peak
	// share[j] is that of cell j, whose middle is j/parts peaks from 0; those below
	// 0 are the same.
	share []float64
	atoms bool // all of a cell's share lies at its middle
}

// grid convolves the distributions of all voices: the product of their spectra.
func (m Mix) grid() *grid {
	n := m.Voices()
	g := &grid{parts: 1, atoms: m[profiles.Square] == n}
	if !g.atoms {
		g.parts = max(16, min(512, 1<<13/n)) // a level is off by at most 1/(4·parts²) of it
	}
	edge := n * g.parts // the outermost cell
	length := 2
	for length <= 2*edge {
		length *= 2
	}
	fft := fourier.NewFFT(length)
	product := make([]complex128, length/2+1)
	for i := range product {
		product[i] = 1
	}
	for shape, k := range m {
		if k == 0 {
			continue
		}
		for i, x := range fft.Coefficients(nil, g.cells(profiles.Shape(shape), length)) {
			product[i] *= complex(math.Pow(real(x), float64(k)), 0) // alike on both sides of 0, so real
		}
	}
	g.share = fft.Sequence(nil, product)[:edge+1]
	for j := range g.share {
		g.share[j] = max(0, g.share[j]/float64(length))
	}
	return g
}

// cells are the shares of one voice, those below 0 counted from the end.
func (g *grid) cells(shape profiles.Shape, length int) []float64 {
	share := make([]float64, length)
	for j := 0; j <= g.parts; j++ {
		from, to := (float64(j)-0.5)/float64(g.parts), min(1, (float64(j)+0.5)/float64(g.parts))
		switch shape {
		case profiles.Sine: // is below v for ½ + asin(v)/π of the time
			share[j] = (math.Asin(to) - math.Asin(from)) / math.Pi
		case profiles.Square:
			share[j] = 0
		default:
			share[j] = (to - from) / 2
		}
	}
	if shape == profiles.Square {
		share[g.parts] = 0.5
	}
	for j := 1; j <= g.parts; j++ {
		share[length-j] = share[j]
	}
	return share
}

// beyond is the share of the time past c peaks, on both sides.
func (g *grid) beyond(c float64) (sum float64) {
	at := c * float64(g.parts)
	for j, share := range slices.Backward(g.share) {
		middle := float64(j)
		switch {
		case middle-0.5 >= at || g.atoms && middle > at:
			sum += 2 * share
		case g.atoms || middle+0.5 <= at:
			return sum
		default:
			from, to := middle-0.5, g.top(j)
			return sum + 2*share*max(0, to-at)/(to-from)
		}
	}
	return min(1, sum)
}

// top is where a cell ends: the outermost at its middle.
func (g *grid) top(j int) float64 {
	if j == len(g.share)-1 {
		return float64(j)
	}
	return float64(j) + 0.5
}

// passed is the lowest level that is passed for at most this share of the time.
func (g *grid) passed(share float64) float64 {
	var sum float64
	for j, own := range slices.Backward(g.share) {
		if sum+2*own > share {
			at := float64(j)
			if !g.atoms {
				at = g.top(j) - (share-sum)/(2*own)*(g.top(j)-(float64(j)-0.5))
			}
			return max(0, at) / float64(g.parts)
		}
		sum += 2 * own
	}
	return 0
}
