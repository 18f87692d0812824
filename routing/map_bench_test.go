package routing

import (
	"fmt"
	"testing"
	"time"

	"choirloft/profiles"
)

// A map is made for every plan that is tried, so it has to be about linear in
// the voices. What it takes more than packing alone, in the same run, are its packs.
func BenchmarkNewMap(b *testing.B) {
	for _, n := range []int{16, 64, 256, 1024} {
		text := fmt.Sprintf("rig: R\ninterfaces: {main: {cv: 1024, gates: 1024, ports: 64}}\nbanks: {K: {voices: %d, lanes: [cutoff]}}\n", n-1)
		rig, faults := profiles.Read("x", []byte(text), nil)
		if faults != nil {
			b.Fatal(faults)
		}
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			var packs time.Duration
			for b.Loop() {
				NewMap(rig)
				start := time.Now()
				Lacks(rig)
				packs += time.Since(start)
			}
			b.ReportMetric(float64(b.Elapsed()-packs)/float64(packs), "packs")
		})
	}
}
