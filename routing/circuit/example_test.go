package circuit_test

import (
	"fmt"

	"choirloft/profiles"
	"choirloft/routing/circuit"
)

// An output of 1 kΩ that was calibrated on one input of 100 kΩ, and now has three:
// the gain goes from 100/101 to 100/103, 1200·(101/103 − 1) = −23.3 cents for each octave.
func ExampleBend() {
	now := circuit.Load{Source: 1000, Inputs: []profiles.Ohms{100_000, 100_000, 100_000}}
	fmt.Printf("%.1f\n", circuit.Bend(now, now.Calibrated(1)))
	// Output:
	// -23.3
}
