package unit_test

import (
	"fmt"

	"choirloft/profiles/unit"
)

func Example() {
	fmt.Println(unit.Count(1, "voice"), unit.Count(12, "voice"))
	fmt.Println(unit.List([]string{"A1", "A2", "B1"}))
	// Output:
	// 1 voice 12 voices
	// A1, A2 and B1
}
