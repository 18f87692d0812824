package timing_test

import (
	"fmt"
	"time"

	"choirloft/alloc"
	"choirloft/alloc/timing"
)

// A voice that sounds is taken by another note: live its gate goes low at once, and
// the new note comes when the gap is over.
func ExampleStage() {
	s := timing.New(timing.Rules{Gap: 3 * time.Millisecond}, timing.Live, 1, true)
	s.Decide(&alloc.Decision{Kind: alloc.Take, Note: 0, Key: 60, Of: 1})
	late := s.Decide(&alloc.Decision{At: time.Second, Kind: alloc.Take, Note: 1, Cut: 0, Key: 62, Of: 1})
	fmt.Println(late)
	// Output:
	// 3ms
}
