package study

import (
	"math/bits"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// TestBoundsAgainstAllSubsets tries every list of up to six intervals between
// 0 and 5, and one without length, with up to three voices: which of its
// subsets fit, and what a count of cells loses.
func TestBoundsAgainstAllSubsets(t *testing.T) {
	const cells, most = 5, 6
	kinds := []Interval{{2, 2}}
	for s := range time.Duration(cells) {
		for e := s + 1; e <= cells; e++ {
			kinds = append(kinds, Interval{s, e})
		}
	}
	lists := 0
	var visit func(list []Interval, from int)
	visit = func(list []Interval, from int) {
		lists++
		compareWithSubsets(t, list, cells)
		for k := from; k < len(kinds) && len(list) < most; k++ {
			visit(append(list, kinds[k]), k)
		}
	}
	visit(make([]Interval, 0, most), 0)
	require.Equal(t, 74613, lists) // multisets of up to 6 of 16 kinds: C(22, 6)
}

func compareWithSubsets(t *testing.T, list []Interval, cells int) {
	const maxVoices = 3
	var kept [maxVoices + 1]int // most notes of a subset that fits
	depths := make([]uint32, 1<<len(list))
	for set := range uint(len(depths)) {
		if set != 0 {
			low := bits.TrailingZeros(set)
			depths[set] = depths[set&(set-1)] + packed(list[low])
		}
		for v := largestNibble(depths[set], cells); v <= maxVoices; v++ {
			kept[v] = max(kept[v], bits.OnesCount(set))
		}
	}
	curve := Bounds(list)
	for v := range kept {
		want := Bound{FewestDamaged: len(list) - kept[v]}
		for c := range cells {
			want.Unavoidable += time.Duration(max(0, nibble(depths[len(depths)-1], c)-v))
		}
		if FewestDamaged(list, v) != want.FewestDamaged || curve.At(v) != want {
			require.Equal(t, want, curve.At(v), "%v, %d voices", list, v)
			require.Equal(t, want.FewestDamaged, FewestDamaged(list, v), "%v, %d voices", list, v)
		}
	}
}

// packed has a 1 in each nibble whose cell [c, c+1) the interval covers.
func packed(i Interval) uint32 {
	var p uint32
	for c := i.Start; c < i.End; c++ {
		p += 1 << (4 * c)
	}
	return p
}

func nibble(p uint32, c int) int { return int(p >> (4 * c) & 15) }

func largestNibble(p uint32, cells int) int {
	most := 0
	for c := range cells {
		most = max(most, nibble(p, c))
	}
	return most
}
