package study

import (
	"fmt"
	"math/rand/v2"
	"testing"
	"time"
)

// crowded makes n intervals with a mean depth of 20 and a peak of 34: one
// starts every 50 ms on average and lasts 1 s on average.
func crowded(n int) []Interval {
	rng := rand.New(rand.NewPCG(1, 0))
	intervals := make([]Interval, n)
	start := time.Duration(0)
	for i := range intervals {
		start += time.Duration(rng.IntN(int(100 * ms)))
		intervals[i] = Interval{start, start + time.Duration(rng.IntN(int(2*time.Second)))}
	}
	return intervals
}

func BenchmarkFewestDamaged(b *testing.B) {
	intervals := crowded(10_000)
	for _, v := range []int{1, 12, 30} {
		b.Run(fmt.Sprintf("voices=%d", v), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				FewestDamaged(intervals, v)
			}
		})
	}
}

func BenchmarkCascade(b *testing.B) {
	intervals := crowded(10_000)
	peak := Peak(intervals)
	b.ReportAllocs()
	for b.Loop() {
		fewestDamaged(intervals, peak)
	}
	b.ReportMetric(float64(peak), "peak")
}

func BenchmarkBounds(b *testing.B) {
	intervals := crowded(10_000)
	b.ReportAllocs()
	for b.Loop() {
		Bounds(intervals)
	}
}
