package setups

import (
	"fmt"
	"strings"
	"testing"

	"choirloft/profiles"
	"choirloft/routing"
)

// BenchmarkWays compares all ways to wire a sequencer that plays racks of 4, 16
// and 64 banks of four.
func BenchmarkWays(b *testing.B) {
	for _, n := range []int{4, 16, 64} {
		var banks, parts []string
		for i := range n {
			name := fmt.Sprintf("B%c%c", 'a'+i/8, 'a'+i%8)
			banks, parts = append(banks, name+": {voices: 4, kind: k}"), append(parts, fmt.Sprintf("%d: %s", i+1, name))
		}
		text := fmt.Sprintf("rig: R\ninterfaces: {main: {cv: 300, gates: 300, ports: 20}}\nsequencers: {seq: {parts: 64}}\nvoices: {k: {group_pitch: sums}}\n"+
			"banks: {%s}\nset_ups: {studio: {from: main}, stage: {from: seq, parts: {%s}}}\n", strings.Join(banks, ", "), strings.Join(parts, ", "))
		rig, faults := profiles.Read("bench.yaml", []byte(text), nil)
		if len(faults) > 0 {
			b.Fatal(faults)
		}
		m := routing.NewMap(rig)
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				Ways(m, 0, 1)
			}
		})
	}
}
