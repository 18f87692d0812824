package crew_test

import (
	"context"
	"fmt"

	"choirloft/alloc/crew"
)

// Each job writes to a place of its own, so the order in which they end is no
// matter.
func ExampleDo() {
	squares := make([]int, 5)
	err := crew.Do(context.Background(), len(squares), func(context.Context) func(int) error {
		return func(job int) error {
			squares[job] = job * job
			return nil
		}
	})
	fmt.Println(squares, err)
	// Output:
	// [0 1 4 9 16] <nil>
}
