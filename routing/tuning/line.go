package tuning

import "math"

// Line is a line fitted by least squares, y = Intercept + Slope·x.
type Line struct {
	Intercept, Slope float64
	Count            int     // of points
	SD               float64 // residual standard deviation, √(Σr²/(n − 2)); 0 for two points
	R2               float64 // share of the variance that the line explains, 0–1
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
	l = Line{Count: len(x), Slope: xy / xx}
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

// At is the line's y.
func (l *Line) At(x float64) float64 { return l.Intercept + l.Slope*x }
