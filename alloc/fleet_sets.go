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
	if w == -1 {
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

// keyNumbers is how many buckets sounding keys need, and keyBucket the bucket
// of one: keys are −48…175 after transposition.
const keyNumbers = 256

func keyBucket(key int16) int { return int(key) + 64 }

// buckets sorts members (voices of a pool, or its banks) by a small number (a
// sounding key, a velocity, a count) and gives the lowest member of the
// lowest, highest or nearest number. Everything costs the same for any number
// of members up to 4096: a bitmap finds the bucket, one more the word in it.
type buckets struct {
	used  []uint64 // buckets that are not empty
	sum   []uint64 // by bucket: its words that are not empty
	words []uint64 // by bucket: its members
	width int      // words in a bucket
}

func newBuckets(numbers, members int) *buckets {
	w := (members + 63) / 64
	return &buckets{used: make([]uint64, (numbers+63)/64), sum: make([]uint64, numbers),
		words: make([]uint64, numbers*w), width: w}
}

func (b *buckets) add(n int, i int32) {
	w := int(i >> 6)
	b.words[n*b.width+w] |= 1 << (i & 63)
	b.sum[n] |= 1 << w
	b.used[n>>6] |= 1 << (n & 63)
}

// remove takes a member out. It always writes all three levels: which bucket
// will be empty is too hard to guess to branch on.
func (b *buckets) remove(n int, i int32) {
	w := int(i >> 6)
	at := n*b.width + w
	word := b.words[at] &^ (1 << (i & 63))
	b.words[at] = word
	sum := b.sum[n]
	if rest := sum &^ (1 << w); word == 0 {
		sum = rest
	}
	b.sum[n] = sum
	used := b.used[n>>6]
	if rest := used &^ (1 << (n & 63)); sum == 0 {
		used = rest
	}
	b.used[n>>6] = used
}

// first returns the lowest member of bucket n, which must not be empty.
func (b *buckets) first(n int) int32 {
	w := bits.TrailingZeros64(b.sum[n])
	return int32(w<<6 + bits.TrailingZeros64(b.words[n*b.width+w]))
}

// lowest returns the lowest member of the lowest bucket and its number, or none.
func (b *buckets) lowest() (member int32, number int) {
	if n := nextBit(b.used, 0); n >= 0 {
		return b.first(n), n
	}
	return none, 0
}

// highest returns the lowest member of the highest bucket. There must be one.
func (b *buckets) highest() int32 {
	return b.first(prevBit(b.used, len(b.sum)-1))
}

// nearest returns the lowest member of the bucket nearest to n and its
// distance, or none; of two at the same distance the lower member counts.
func (b *buckets) nearest(n int) (member int32, distance int) {
	below, above := prevBit(b.used, n), nextBit(b.used, n)
	down, up := n-below, above-n
	if below == -1 {
		down = far
	}
	if above == -1 {
		up = far
	}
	switch {
	case down < up:
		return b.first(below), down
	case up < down:
		return b.first(above), up
	case up == far:
		return none, 0
	}
	return min(b.first(below), b.first(above)), up
}

// far is further than any bucket from another.
const far = 1 << 16

func keyOf(bucket int) int16 { return int16(bucket - 64) }
