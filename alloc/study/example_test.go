package study_test

import (
	"fmt"
	"time"

	"choirloft/alloc/study"
)

// Three notes of a second each, the second half a second after the first and the
// third with it: on two voices half a second of one is lost, whatever the rule.
func ExampleBounds() {
	at := func(start time.Duration) study.Interval {
		return study.Interval{Start: start, End: start + time.Second}
	}
	bounds := study.Bounds([]study.Interval{at(0), at(500 * time.Millisecond), at(500 * time.Millisecond)})
	for voices := range 4 {
		fmt.Println(voices, bounds.At(voices).FewestDamaged, bounds.At(voices).Unavoidable)
	}
	// Output:
	// 0 3 3s
	// 1 2 1.5s
	// 2 1 500ms
	// 3 0 0s
}
