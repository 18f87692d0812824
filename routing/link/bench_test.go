package link

import (
	"testing"
	"time"
)

// BenchmarkQueue sends 100 000 messages through a link.
func BenchmarkQueue(b *testing.B) {
	list := make([]Message, 100_000)
	for i := range list {
		list[i] = Message{time.Duration(i) * time.Millisecond, statusNoteOn | byte(i%16), 3, i}
	}
	b.ReportAllocs()
	for b.Loop() {
		Queue(list)
	}
}
