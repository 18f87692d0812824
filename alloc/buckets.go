package alloc

import "math/bits"

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

// highest returns the lowest member of the highest bucket and its number, or none.
func (b *buckets) highest() (member int32, number int) {
	if n := prevBit(b.used, len(b.sum)-1); n >= 0 {
		return b.first(n), n
	}
	return none, 0
}

// nearest returns the lowest member of the bucket nearest to n and its
// distance, or none; of two at the same distance the lower member counts.
func (b *buckets) nearest(n int) (member int32, distance int) {
	below, above := prevBit(b.used, n), nextBit(b.used, n)
	switch {
	case below < 0 && above < 0:
		return none, 0
	case below < 0 || above >= 0 && above-n < n-below:
		return b.first(above), above - n
	case above < 0 || n-below < above-n:
		return b.first(below), n - below
	}
	return min(b.first(below), b.first(above)), above - n
}

func keyOf(bucket int) int16 { return int16(bucket - 64) }
