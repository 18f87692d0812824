package tuning

import (
	"math"

	"choirloft/profiles"
	"choirloft/routing"
)

// correct works out what the rig should say: V = (target − a)/b, written as a
// scale and an offset on the volts of a voice in tune, and points where one
// line does not hold. now is what it says.
func (v *Voice) correct(a4 profiles.Hertz, now *profiles.Correction) {
	c := v.straight(a4)
	if math.Abs(float64(c.Offset)) > correctable || c.Scale < leastScale || c.Scale > mostScale {
		v.Why = OutOfReach
		return
	}
	residual := profiles.Cents(v.Residual)
	if v.Piecewise {
		if !rising(v.Points) {
			v.Why = NotTracking
			return
		}
		if len(v.Points) > mostPoints {
			v.Why = TooManyPoints
			return
		}
		c.Points = v.bends(c, a4)
		residual = profiles.Cents(v.leaveOneOut())
	}
	v.limits(float64(residual))
	residual = profiles.Cents(round(max(float64(residual), float64(routing.ReadingSigma)), 1e2))
	c.Residual = &residual
	for _, m := range v.Readings {
		if m.Used {
			c.Readings = append(c.Readings, profiles.Volts(round(float64(m.Volts), 1e5)))
		}
	}
	c.Inputs, c.Multiples = v.way.Inputs, &v.way.Multiples
	if v.Drift.Days > 1 {
		drift := profiles.Cents(round(v.Drift.SD, 1e2))
		c.Drift, c.Days = &drift, v.Drift.Days
	} else { // what was measured of it before still holds
		c.Drift, c.CommonDrift, c.Days = now.Drift, now.CommonDrift, now.Days
	}
	v.Correction = c
}

// straight is the correction by the line alone, rounded to what is written: 10
// µV and a hundred-thousandth, 0.012 cents each at 1 V/oct and 1 V.
func (v *Voice) straight(a4 profiles.Hertz) *profiles.Correction {
	c := &profiles.Correction{Voice: v.Voice, Measured: v.Date}
	a, b := v.Line.Intercept, v.Line.Slope
	if scale := v.Box.Scale; scale.HertzPerVolt() {
		c.Scale = float64(scale.Reference) / (float64(scale.At) * b)
		c.Offset = profiles.Volts(-a / b)
	} else {
		c.Scale = 1200 / (float64(scale.PerOctave) * b)
		c.Offset = profiles.Volts((100*(float64(v.Box.ZeroKey)-69) - a) / b)
	}
	c.Scale = round(c.Scale, 1e5)
	c.Offset = profiles.Volts(round(float64(c.Offset), 1e5))
	return c
}

// limits says how far off a key may be at the ends of the readings, with what the
// correction leaves of them.
func (v *Voice) limits(residual float64) {
	var x []float64
	for _, m := range v.Readings {
		if m.Used {
			x = append(x, float64(m.Volts))
		}
	}
	l, _ := FitLine(x, x, nil) // only where the readings are
	l.SD = residual
	for _, p := range []Point{v.Points[0], v.Points[len(v.Points)-1]} {
		v.Limit = max(v.Limit, l.Limit(float64(p.Volts), limitShare, float64(routing.ReadingSigma)))
	}
}

// limitShare is how many of further readings lie within the limits that are said.
const limitShare = 0.95

// bends are the points to add to a line: what would have had to be sent for
// each pitch that was measured, less what the line alone sends.
func (v *Voice) bends(c *profiles.Correction, a4 profiles.Hertz) (points []profiles.CorrectionPoint) {
	for _, p := range v.Points {
		at := profiles.Volts(round(float64(routing.VoltsAt(v.Box, a4, p.Pitch)), 1e5))
		add := p.Volts - c.Apply(at)
		points = append(points, profiles.CorrectionPoint{At: at, Add: profiles.Volts(round(float64(add), 1e5))})
	}
	return points
}

// rising tells whether each point is higher than the one before, by a cent at
// least.
func rising(points []Point) bool {
	for i := 1; i < len(points); i++ {
		if points[i].Pitch-points[i-1].Pitch < 0.01 {
			return false
		}
	}
	return true
}

// leaveOneOut is what is left between the points of a piecewise correction, in
// cents: a quarter of the standard deviation of each inner point from the
// straight line between its neighbours. The straight line is off a smooth curve
// by the square of the distance of its ends, and leaving a point out doubles it.
func (v *Voice) leaveOneOut() float64 {
	var sum float64
	n := 0
	for i := 1; i+1 < len(v.Points); i++ {
		a, p, b := v.Points[i-1], v.Points[i], v.Points[i+1]
		between := a.cents() + (b.cents()-a.cents())*(p.Ideal-a.Ideal)/(b.Ideal-a.Ideal)
		sum += (p.cents() - between) * (p.cents() - between)
		n++
	}
	if n == 0 {
		return 0
	}
	return math.Sqrt(sum/float64(n)) / 4
}

// round rounds to a part in so many.
func round(v, parts float64) float64 { return math.Round(v*parts) / parts }
