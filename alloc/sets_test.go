package alloc

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// A set is a list in order, of any of the members there may be: those on either side of a
// word, and of a word of words, are drawn more often.
func TestSets(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		most := rapid.SampledFrom([]int{1, 63, 64, 65, 128, 129, MaxVoices}).Draw(t, "members")
		member := drawMember(most)
		s := newSet(most)
		var list []int32
		for range 30 {
			i := member.Draw(t, "member")
			at, in := slices.BinarySearch(list, i)
			if in {
				s.remove(i)
				list = slices.Delete(list, at, at+1)
			} else {
				s.add(i)
				list = slices.Insert(list, at, i)
			}
			require.Equal(t, len(list), s.size)
			from := member.Draw(t, "from") + int32(rapid.IntRange(0, 1).Draw(t, "past"))
			want := none
			if at, _ := slices.BinarySearch(list, from); at < len(list) {
				want = list[at]
			}
			require.Equal(t, want, s.from(from), "from %d of %v", from, list)
			for n, i := range list {
				require.Equal(t, i, s.nth(n))
			}
		}
	})
}

func drawMember(most int) *rapid.Generator[int32] {
	near := []int32{0}
	for _, edge := range []int{1, 63, 64, 65, 127, 128, 4032, MaxVoices - 1} {
		if edge < most {
			near = append(near, int32(edge))
		}
	}
	return rapid.OneOf(rapid.SampledFrom(near), rapid.Int32Range(0, int32(most-1)))
}

// Buckets are lists in order, by number: worked out the long way.
func TestBuckets(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		most := rapid.SampledFrom([]int{1, 64, 65, MaxVoices}).Draw(t, "members")
		numbers := rapid.SampledFrom([]int{1, 2, 64, 65, 128, 129, keyNumbers}).Draw(t, "numbers")
		b := newBuckets(numbers, most)
		number, member := drawMember(numbers), drawMember(most)
		lists := map[int][]int32{}
		for range 30 {
			n, i := int(number.Draw(t, "number")), member.Draw(t, "member")
			if at, in := slices.BinarySearch(lists[n], i); in {
				b.remove(n, i)
				lists[n] = slices.Delete(lists[n], at, at+1)
			} else {
				b.add(n, i)
				lists[n] = slices.Insert(lists[n], at, i)
			}
			requireBuckets(t, lists, b, numbers, int(number.Draw(t, "near")))
		}
	})
}

func requireBuckets(t *rapid.T, lists map[int][]int32, b *buckets, numbers, near int) {
	var full []int
	best, distance := none, 0
	for n := range numbers {
		if len(lists[n]) == 0 {
			continue
		}
		full = append(full, n)
		i, d := lists[n][0], max(n-near, near-n)
		if best == none || d < distance || d == distance && i < best {
			best, distance = i, d
		}
	}
	i, d := b.nearest(near)
	require.Equal(t, [2]int{int(best), distance}, [2]int{int(i), d}, "nearest to %d of %v", near, full)
	i, n := b.lowest()
	if len(full) == 0 {
		require.Equal(t, [2]int{-1, 0}, [2]int{int(i), n})
		return
	}
	require.Equal(t, [2]int{int(lists[full[0]][0]), full[0]}, [2]int{int(i), n})
	require.Equal(t, lists[full[len(full)-1]][0], b.highest())
}
