package unit_test

import (
	"fmt"

	"choirloft/profiles/unit"
)

func Example() {
	fmt.Println(unit.Count(1, "voice"), unit.Count(12, "voice"))
	fmt.Println(unit.List([]string{"K1", "K2", "L1"}))
	// Output:
	// 1 voice 12 voices
	// K1, K2 and L1
}
