package stream_test

import (
	"fmt"

	"choirloft/midi/stream"
)

// A real-time message stands in the middle of another and disturbs nothing; the
// second note has no status byte of its own.
func ExampleParser() {
	var p stream.Parser
	for _, b := range []byte{0x90, 60, 0xF8, 100, 64, 90} {
		if m, ok, _ := p.Next(b); ok {
			fmt.Printf("%X %d %d\n", m.Status, m.Data1, m.Data2)
		}
	}
	// Output:
	// F8 0 0
	// 90 60 100
	// 90 64 90
}
