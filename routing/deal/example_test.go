package deal_test

import (
	"fmt"

	"choirloft/routing/deal"
)

// Seven cents up, at a bend range of two semitones: 8192·(1 + 0.07/2) = 8478.72.
func ExampleBendValue() {
	value, ok := deal.BendValue(0.07, 2)
	fmt.Println(value, ok)
	// Output:
	// 8479 true
}
