package routing

import (
	"fmt"
	"testing"

	"choirloft/profiles"
)

// A map is made for every plan that is tried, so it has to be about linear in
// the voices.
func BenchmarkNewMap(b *testing.B) {
	for _, n := range []int{16, 64, 256, 1024} {
		text := fmt.Sprintf("rig: R\ninterfaces: {main: {cv: 1024, gates: 1024, ports: 64}}\nbanks: {K: {voices: %d, lanes: [cutoff]}}\n", n-1)
		rig, faults := profiles.Read("x", []byte(text), nil)
		if faults != nil {
			b.Fatal(faults)
		}
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				NewMap(rig)
			}
		})
	}
}
