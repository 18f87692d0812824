package tuning

import (
	"math"

	"choirloft/routing/stray"
)

// Line is a line fitted by least squares, y = Intercept + Slope·x.
type Line struct {
	Intercept, Slope float64
	Count            int     // of points
	SD               float64 // residual standard deviation, √(Σr²/(n − 2)); 0 for two points
	R2               float64 // share of the variance that the line explains, 0–1
	// MeanX and SXX are the mean of x and the sum of the squares about it, both
	// weighted.
	MeanX, SXX float64
}

// FitLine fits a line to at least two points that differ in x; ok is false
// without. Weights, which may be nil for equal ones, are above 0. The sums run
// over differences from the means, which keeps digits where x or y is large.
func FitLine(x, y, weights []float64) (l Line, ok bool) {
	weight := func(i int) float64 {
		if weights == nil {
			return 1
		}
		return weights[i]
	}
	var sum, meanX, meanY float64
	for i := range x {
		sum += weight(i)
		meanX += weight(i) * x[i]
		meanY += weight(i) * y[i]
	}
	meanX, meanY = meanX/sum, meanY/sum
	var xx, xy, yy float64
	for i := range x {
		dx, dy := x[i]-meanX, y[i]-meanY
		xx += weight(i) * dx * dx
		xy += weight(i) * dx * dy
		yy += weight(i) * dy * dy
	}
	if len(x) < 2 || xx == 0 {
		return Line{}, false
	}
	l = Line{Count: len(x), Slope: xy / xx, MeanX: meanX, SXX: xx}
	l.Intercept = meanY - l.Slope*meanX
	var left float64
	for i := range x {
		r := (y[i] - meanY) - l.Slope*(x[i]-meanX)
		left += weight(i) * r * r
	}
	if l.Count > 2 {
		l.SD = math.Sqrt(left / float64(l.Count-2))
	}
	l.R2 = 1
	if yy > 0 {
		l.R2 = 1 - left/yy
	}
	return l, true
}

// Limit is how far from the line another reading at x may lie: with the chance of
// share, 0–1, no further to either side than
//
//	t·s·√(1 + 1/n + (x − mean)²/SXX)
//
// where t is Student's of n − 2 degrees of freedom and s the residual standard
// deviation, but no less than least. It is +Inf for two points, and holds for equal
// weights (any text on regression; NIST/SEMATECH e-Handbook 4.5.1.2, cited from
// memory).
func (l *Line) Limit(x, share, least float64) float64 {
	if l.Count <= 2 {
		return math.Inf(1)
	}
	e := stray.Prediction(max(l.SD, least), l.Count, l.MeanX, l.SXX, x)
	return stray.Quantile((1+share)/2, e.Free) * e.Size
}

// At is the line's y.
func (l *Line) At(x float64) float64 { return l.Intercept + l.Slope*x }
