package profiles

import (
	"fmt"
	"math/bits"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"choirloft/alloc"
)

// asked is a part that keeps voices of a set of banks.
type asked struct {
	reserve int
	banks   []int
}

// fitting writes a rig of banks with so many voices and of such parts.
func fitting(room []int, parts []asked) string {
	var b strings.Builder
	b.WriteString("rig: R\nbanks:\n")
	for i, n := range room {
		fmt.Fprintf(&b, "  %c: {voices: %d, out: [%d]}\n", 'A'+i, n+1, n+1)
	}
	b.WriteString("parts:\n")
	for i, p := range parts {
		var names []string
		for _, bank := range p.banks {
			names = append(names, string(rune('A'+bank)))
		}
		fmt.Fprintf(&b, "  p%d: {reserve: %d, banks: [%s]}\n", i, p.reserve, strings.Join(names, ", "))
	}
	return b.String()
}

// fits tells whether every set of the first n parts finds its reserves in its
// banks, set by set: what a set keeps is at most what its banks have in service
// (Hall's marriage theorem).
func fits(room []int, parts []asked) bool {
	for set := range 1 << len(parts) {
		keep, banks := 0, uint(0)
		for i, p := range parts {
			if set>>i&1 == 0 {
				continue
			}
			keep += p.reserve
			for _, b := range p.banks {
				banks |= 1 << b
			}
		}
		have := 0
		for ; banks != 0; banks &= banks - 1 {
			have += room[bits.TrailingZeros(banks)]
		}
		if keep > have {
			return false
		}
	}
	return true
}

// A fault stands exactly at the parts that do not fit with those before them
// that do.
func TestReservesFitSetBySet(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		room := rapid.SliceOfN(rapid.IntRange(0, 4), 1, 4).Draw(t, "voices in service")
		parts := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) asked {
			set := rapid.IntRange(1, 1<<len(room)-1).Draw(t, "set")
			p := asked{reserve: rapid.IntRange(0, 5).Draw(t, "reserve")}
			for b := range room {
				if set>>b&1 == 1 {
					p.banks = append(p.banks, b)
				}
			}
			return p
		}), 1, 6).Draw(t, "parts")

		var want, got []string
		var seated []asked
		for i, p := range parts {
			if fits(room, append(seated[:len(seated):len(seated)], p)) {
				seated = append(seated, p)
			} else {
				want = append(want, fmt.Sprintf("parts.p%d.reserve", i))
			}
		}
		_, faults := Read("test.yaml", []byte(fitting(room, parts)), nil)
		for _, f := range faults {
			got = append(got, f.Path)
		}
		require.Equal(t, want, got)
	})
}

// Earlier parts move to make room: p2 can have K alone, which p0 leaves for L
// or p1 for M.
func TestReservesMove(t *testing.T) {
	require.Empty(t, read(fitting([]int{1, 1, 1}, []asked{{1, []int{0, 1}}, {1, []int{0, 2}}, {1, []int{0}}})))
	require.Len(t, read(fitting([]int{1, 1, 1}, []asked{{1, []int{0, 1}}, {1, []int{0, 1}}, {1, []int{0}}})), 1)
}

func read(text string) Faults {
	_, faults := Read("test.yaml", []byte(text), nil)
	return faults
}

// 256 parts that keep 16 voices each of 4096: 256 · 16 = 4096.
func TestManyReserves(t *testing.T) {
	var b strings.Builder
	b.WriteString("rig: R\nbanks: {K: {voices: 1024}, L: {voices: 1024}, M: {voices: 1024}, N: {voices: 1024}}\nparts:\n")
	for i := range 256 {
		fmt.Fprintf(&b, "  p%d: {reserve: 16, banks: [%s]}\n", i, []string{"K", "K, L", "K, L, M", "K, L, M, N"}[i/64])
	}
	require.Empty(t, read(b.String()))
	faults := read(strings.Replace(b.String(), "p255: {reserve: 16", "p255: {reserve: 17", 1))
	require.Len(t, faults, 1)
	require.Contains(t, faults[0].Message, "keep 4097 voices together")
}

// A spare that is used stands in for the first voice that is out, and counts
// as in service; the states stay as written.
func TestReplaced(t *testing.T) {
	rig := mustRead(t, `rig: R
banks:
  K: {voices: 5, out: [4, 2], spare: [5, 3], use_spare: true}
  L: {voices: 3, out: [2], spare: [3]}
  M: {voices: 3, spare: [3], use_spare: true}
parts: {p: {banks: [K], reserve: 2}}
`)
	spare, out, ok := rig.Replaced(0)
	require.Equal(t, []any{"K3", "K2", true}, []any{rig.Voices[spare].Name, rig.Voices[out].Name, ok})
	require.Equal(t, alloc.Spare, rig.Voices[spare].State)
	require.Equal(t, alloc.Out, rig.Voices[out].State)
	require.Equal(t, 2, rig.InService(0)) // K1, and K3 for K2
	_, _, ok = rig.Replaced(1)            // not asked for
	require.False(t, ok)
	require.Equal(t, 1, rig.InService(1))
	_, _, ok = rig.Replaced(2) // nothing is out
	require.False(t, ok)
	require.Equal(t, 2, rig.InService(2))

	// one more than K has
	require.Len(t, read("rig: R\nbanks: {K: {voices: 3, out: [2], spare: [3]}}\nparts: {p: {reserve: 2}}\n"), 1)
}
