package tuning_test

import (
	"fmt"

	"choirloft/routing/tuning"
)

// A line through three readings that lie on it, from 0 V up: an octave is 1201 cents.
func ExampleFitLine() {
	line, ok := tuning.FitLine([]float64{0, 1, 2}, []float64{3, 1204, 2405}, nil)
	fmt.Printf("%.0f %.0f %.2f %t\n", line.Intercept, line.Slope, line.SD, ok)
	// Output:
	// 3 1201 0.00 true
}
