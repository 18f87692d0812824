package alloc

import "math/bits"

// set is a set of small integers, the places of voices in a pool. Finding a
// member costs the same for any size: sum has a bit for each word that is not
// empty, so there are never more than two levels for 4096 members.
type set struct {
	words []uint64
	sum   []uint64
	size  int
}

func newSet(n int) set {
	w := (n + 63) / 64
	return set{words: make([]uint64, w), sum: make([]uint64, (w+63)/64)}
}

func (s *set) add(i int32) {
	w := i >> 6
	s.words[w] |= 1 << (i & 63)
	s.sum[w>>6] |= 1 << (w & 63)
	s.size++
}

// remove takes a member out. It always writes both levels: whether a word will
// be empty is too hard to guess to branch on.
func (s *set) remove(i int32) {
	w := i >> 6
	word := s.words[w] &^ (1 << (i & 63))
	s.words[w] = word
	sum := s.sum[w>>6]
	if rest := sum &^ (1 << (w & 63)); word == 0 {
		sum = rest
	}
	s.sum[w>>6] = sum
	s.size--
}

// from returns the smallest member that is i or larger, or −1.
func (s *set) from(i int32) int32 {
	w := int(i >> 6)
	if w >= len(s.words) {
		return -1
	}
	if rest := s.words[w] >> (i & 63); rest != 0 {
		return i + int32(bits.TrailingZeros64(rest))
	}
	w = nextBit(s.sum, w+1)
	if w < 0 {
		return -1
	}
	return int32(w<<6 + bits.TrailingZeros64(s.words[w]))
}

// nth returns the n-th smallest member, from 0; n must be below size.
func (s *set) nth(n int) int32 {
	for w, word := range s.words {
		c := bits.OnesCount64(word)
		if n >= c {
			n -= c
			continue
		}
		for ; n > 0; n-- {
			word &= word - 1
		}
		return int32(w<<6 + bits.TrailingZeros64(word))
	}
	panic("alloc: nth past the end of a set")
}

// nextBit returns the first set bit of a bitmap at or above i, or −1.
func nextBit(bitmap []uint64, i int) int {
	w := i >> 6
	if w >= len(bitmap) {
		return -1
	}
	if rest := bitmap[w] >> (i & 63); rest != 0 {
		return i + bits.TrailingZeros64(rest)
	}
	for w++; w < len(bitmap); w++ {
		if bitmap[w] != 0 {
			return w<<6 + bits.TrailingZeros64(bitmap[w])
		}
	}
	return -1
}

// prevBit returns the last set bit of a bitmap at or below i, or −1.
func prevBit(bitmap []uint64, i int) int {
	if i < 0 {
		return -1
	}
	w := i >> 6
	if rest := bitmap[w] << (63 - i&63); rest != 0 {
		return i - bits.LeadingZeros64(rest)
	}
	for w--; w >= 0; w-- {
		if bitmap[w] != 0 {
			return w<<6 + 63 - bits.LeadingZeros64(bitmap[w])
		}
	}
	return -1
}
