package estimate

import (
	"context"
	"testing"
	"time"
)

// BenchmarkEstimate is a whole estimate of ten minutes, and the theory alone.
func BenchmarkEstimate(b *testing.B) {
	for _, text := range ways4Tests[1:3] {
		p, err := Parse(text)
		if err != nil {
			b.Fatal(err)
		}
		m, err := New(rig(4, slow), p)
		if err != nil {
			b.Fatal(err)
		}
		b.Run(text, func(b *testing.B) {
			for b.Loop() {
				if _, err := m.Run(context.Background(), Options{Seed: 1, Length: 10 * time.Minute}); err != nil {
					b.Fatal(err)
				}
			}
		})
		b.Run("theory of "+text, func(b *testing.B) {
			for b.Loop() {
				m.Theory(100)
			}
		})
	}
}
