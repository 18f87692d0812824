package midi

import (
	"math"
	"math/bits"
)

// mulAddDiv returns the quotient and the remainder of (a·b + c) / d, worked
// out in 128 bits. A quotient that does not fit an int64 comes back as the
// largest one, with no remainder.
func mulAddDiv(a, b, c, d uint64) (q int64, r uint64) {
	hi, lo := bits.Mul64(a, b)
	lo, carry := bits.Add64(lo, c, 0)
	return div(hi+carry, lo, d)
}

// mulSubDiv returns ⌊(a·b − c) / d⌋ in the same way; c must not exceed a·b.
func mulSubDiv(a, b, c, d uint64) int64 {
	hi, lo := bits.Mul64(a, b)
	lo, borrow := bits.Sub64(lo, c, 0)
	q, _ := div(hi-borrow, lo, d)
	return q
}

func div(hi, lo, d uint64) (q int64, r uint64) {
	if hi >= d {
		return math.MaxInt64, 0
	}
	uq, r := bits.Div64(hi, lo, d)
	if uq > math.MaxInt64 {
		return math.MaxInt64, 0
	}
	return int64(uq), r
}
