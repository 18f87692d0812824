package stray

import "math"

// Below is the share of Student's t below some t, for ν degrees of freedom from 1.
func Below(t float64, free int) float64 {
	return (1 + math.Copysign(within(math.Abs(t), free), t)) / 2
}

// within is A(t|ν), the share between −t and t.
func within(t float64, free int) float64 {
	angle := math.Atan(t / math.Sqrt(float64(free)))
	sin, cos := math.Sincos(angle)
	square := cos * cos
	if free%2 == 1 { // 26.7.3
		term, sum := cos, 0.0
		for k := 1; k <= free-2; k += 2 {
			sum += term
			term *= square * float64(k+1) / float64(k+2)
		}
		return 2 / math.Pi * (angle + sin*sum)
	}
	term, sum := 1.0, 0.0 // 26.7.4
	for k := 0; k <= free-2; k += 2 {
		sum += term
		term *= square * float64(k+1) / float64(k+2)
	}
	return sin * sum
}

// Prediction is how far a further reading at x lies from a line through n readings, at
// least 3, which lie s off it: s·√(1 + 1/n + (x − mean)²/squares), with n − 2 degrees of freedom. Mean is that
// of the readings' x, squares the sum of the squares about it (any text on regression;
// NIST/SEMATECH e-Handbook 4.5.1.2, cited from memory).
func Prediction(s float64, n int, mean, squares, x float64) Error {
	return Error{Law: Fit, Size: s * math.Sqrt(1+1/float64(n)+(x-mean)*(x-mean)/squares), Free: n - 2}
}

// Quantile is the t below which a share of Student's t lies, from ½ on and below 1.
func Quantile(share float64, free int) float64 {
	low, high := 0.0, 1.0
	for Below(high, free) < share {
		high *= 2
	}
	for range 60 {
		if t := (low + high) / 2; Below(t, free) < share {
			low = t
		} else {
			high = t
		}
	}
	return high
}
