package levels_test

import (
	"fmt"

	"choirloft/routing/levels"
)

// 1 mW into 600 Ω is √(0.001·600) = 0.7746 V, which is 0 dBu; half of a voltage is
// 20·log10(1/2) = −6.02 dB.
func Example() {
	fmt.Printf("%.2f dBu\n", float64(levels.DBu(0.7746)))
	fmt.Printf("%.2f dB\n", float64(levels.Decibels(0.5)))
	// Output:
	// 0.00 dBu
	// -6.02 dB
}
