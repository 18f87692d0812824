package estimate_test

import (
	"fmt"

	"choirloft/alloc/study/estimate"
)

// Two notes at once on average, and how often none of 0 to 4 voices is free: by
// hand 2/3 for one, 2·2/3/(2 + 2·2/3) = 2/5 for two, and so on.
func ExampleErlangB() {
	for voices, share := range estimate.ErlangB(2, 4) {
		fmt.Printf("%d %.4f\n", voices, share)
	}
	// Output:
	// 0 1.0000
	// 1 0.6667
	// 2 0.4000
	// 3 0.2105
	// 4 0.0952
}
