package stray

import (
	"cmp"
	"math"
	"slices"
)

// Law is how the error of a cause is distributed.
type Law uint8

// The laws.
const (
	Shift     Law = iota // known, with its sign
	Limit                // anything up to a limit, either way, is alike
	Deviation            // normal
	Fit                  // Student's t: what a fit leaves
)

var lawNames = [...]string{Shift: "shift", Limit: "limit", Deviation: "deviation", Fit: "fit"}

// String is the stable name of a law.
func (l Law) String() string { return lawNames[l] }

// Error is what one cause does.
type Error struct {
	Law  Law
	Size float64 // the shift; or the limit, the deviation, s: 0 or more
	Free int     // degrees of freedom of a fit, from 1
}

// Sigma is the standard deviation: a/√3 for a limit, s for a fit, and the size of a
// shift.
func (e Error) Sigma() float64 {
	if e.Law == Limit {
		return e.Size / math.Sqrt(3)
	}
	return math.Abs(e.Size)
}

const (
	likely = 0.95   // share of errors within [Sum.Likely]
	upper  = 0.9995 // share below the worst of one cause: 99.9 % within, either way
	tail   = 3.29   // deviations of a normal distribution there, Φ(3.29) = 0.9995
)

// Worst is as far as one cause is taken to go.
func (e Error) Worst() float64 {
	switch e.Law {
	case Deviation:
		return tail * e.Size
	case Fit:
		return Quantile(upper, e.Free) * e.Size
	}
	return math.Abs(e.Size)
}

// Sum is several causes together. The zero value is never off.
type Sum []Error

// Worst is within what 99.9 % of the errors are, and more where there are limits.
func (s Sum) Worst() float64 {
	shift, limits, squares := 0.0, 0.0, 0.0
	for _, e := range s {
		switch w := e.Worst(); e.Law {
		case Shift:
			shift += e.Size
		case Limit:
			limits += w
		default:
			squares += w * w
		}
	}
	return math.Abs(shift) + limits + math.Sqrt(squares)
}

// RMS is the root of the mean square: of all deviations, and of the shifts together.
func (s Sum) RMS() float64 {
	shift, squares := 0.0, 0.0
	for _, e := range s {
		if e.Law == Shift {
			shift += e.Size
		} else {
			squares += e.Sigma() * e.Sigma()
		}
	}
	return math.Sqrt(shift*shift + squares)
}

// cells is how many cells the distribution is worked out on, an odd number.
const cells = 1001

// density is a distribution of errors around 0 on a grid: what share lies in each
// cell, of a width. What lies beyond counts in the outermost.
type density struct {
	share []float64
	width float64
}

// Likely is the half-width around 0 that 95 % of the errors stay within, to about a
// cell: a five-hundredth of how far they go.
func (s Sum) Likely() float64 {
	shift, reach := 0.0, 0.0
	var bells, limits Sum
	for _, e := range s {
		switch {
		case e.Size == 0:
		case e.Law == Shift:
			shift += e.Size
		case e.Law == Limit:
			limits, reach = append(limits, e), reach+e.Size
		default:
			bells, reach = append(bells, e), reach+e.extent()
		}
	}
	bells = normals(bells)
	switch {
	case len(bells)+len(limits) == 0:
		return math.Abs(shift)
	case len(bells) == 0 && len(limits) == 1:
		return uniformLikely(math.Abs(shift), limits[0].Size)
	}
	d := density{width: 2 * reach / (cells - 1)}
	slices.SortFunc(bells, func(a, b Error) int { return cmp.Compare(b.extent(), a.extent()) })
	if len(bells) == 0 {
		bells, limits = limits[:1], limits[1:]
	}
	d.share = bells[0].cells(d.width, cells/2)
	for _, b := range bells[1:] {
		d.convolve(b.cells(d.width, min(cells/2, int(math.Ceil(b.extent()/d.width)))))
	}
	for _, l := range limits {
		d.box(l.Size)
	}
	return d.within(math.Abs(shift))
}

// normals makes one of all normal distributions.
func normals(bells Sum) (out Sum) {
	squares := 0.0
	for _, b := range bells {
		if b.Law == Deviation {
			squares += b.Size * b.Size
		} else {
			out = append(out, b)
		}
	}
	if squares > 0 {
		out = append(out, Error{Law: Deviation, Size: math.Sqrt(squares)})
	}
	return out
}

// uniformLikely is the half-width for a shift and one limit, by geometry.
func uniformLikely(shift, limit float64) float64 {
	if within := likely * limit; shift <= limit-within {
		return within
	}
	return shift + limit*(2*likely-1)
}

// extent is how far a law reaches: beyond lies less than half a per cent.
func (e Error) extent() float64 {
	switch e.Law {
	case Deviation:
		return 5 * e.Size
	case Fit:
		return min(Quantile(0.9975, e.Free), 100) * e.Size
	}
	return e.Size
}

// below is the share of errors below some size.
func (e Error) below(x float64) float64 {
	switch e.Law {
	case Deviation:
		return math.Erfc(-x/e.Size/math.Sqrt2) / 2
	case Fit:
		return Below(x/e.Size, e.Free)
	}
	return min(max((x/e.Size+1)/2, 0), 1)
}

// cells are the shares in cells of a width, so many on either side of 0.
func (e Error) cells(width float64, side int) []float64 {
	out := make([]float64, 2*side+1)
	last := 0.0
	for i := range out {
		next := 1.0
		if i < 2*side {
			next = e.below((float64(i-side) + 0.5) * width)
		}
		out[i], last = next-last, next
	}
	return out
}

// convolve adds an error that is given by its cells.
func (d *density) convolve(kernel []float64) {
	out := make([]float64, len(d.share))
	side := len(kernel) / 2
	for i, share := range d.share {
		for j, k := range kernel {
			at := min(max(i+j-side, 0), len(out)-1)
			out[at] += share * k
		}
	}
	d.share = out
}

// box adds an error within a limit: the mean of what lies around, each cell taken as
// evenly filled.
func (d *density) box(limit float64) {
	half := limit / d.width
	if half == 0 {
		return
	}
	n := len(d.share)
	// twice[i] is the integral of the distribution function up to the edge of cell i
	sum, twice := make([]float64, n+1), make([]float64, n+1)
	for i, s := range d.share {
		sum[i+1] = sum[i] + s
		twice[i+1] = twice[i] + (sum[i]+sum[i+1])/2
	}
	integral := func(x float64) float64 { // in cells from the lowest edge
		switch {
		case x <= 0:
			return 0
		case x >= float64(n):
			return twice[n] + (x - float64(n))
		}
		i := int(x)
		part := x - float64(i)
		return twice[i] + part*sum[i] + part*part/2*d.share[i]
	}
	last := 0.0
	for i := range d.share {
		next := 1.0
		if edge := float64(i + 1); i < n-1 {
			next = (integral(edge+half) - integral(edge-half)) / (2 * half)
		}
		d.share[i], last = next-last, next
	}
}

// within is the half-width around 0 of a distribution around a shift.
func (d *density) within(shift float64) float64 {
	n := len(d.share)
	sum := make([]float64, n+1)
	for i, s := range d.share {
		sum[i+1] = sum[i] + s
	}
	below := func(x float64) float64 {
		at := x/d.width + float64(n)/2
		switch {
		case at <= 0:
			return 0
		case at >= float64(n):
			return 1
		}
		i := int(at)
		return sum[i] + (at-float64(i))*d.share[i]
	}
	low, high := 0.0, shift+float64(n)*d.width
	for range 50 {
		if h := (low + high) / 2; below(h-shift)-below(-h-shift) < likely {
			low = h
		} else {
			high = h
		}
	}
	return high
}
