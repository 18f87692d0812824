package alloc

import (
	"cmp"
	"os"
	"strconv"
)

var (
	mutantN, _    = strconv.Atoi(os.Getenv("MUTANT"))
	mutantFile, _ = os.OpenFile(os.Getenv("MUTANTS_MET"), os.O_APPEND|os.O_WRONLY, 0)
	mutantMet     [1 << 16]bool
)

func mutantIs(n int) bool { return mutantN == n || mutantN < 0 && mutantMeets(n, true) }

func mutantMeets(n int, differs bool) bool {
	if differs && !mutantMet[n] {
		mutantMet[n] = true
		if _, err := mutantFile.WriteString(strconv.Itoa(n) + " "); err != nil {
			panic(err)
		}
	}
	return false
}

type mutantNumber interface {
	~int | ~int8 | ~int16 | ~int32 | ~int64 | ~uint | ~uint8 | ~uint16 | ~uint32 | ~uint64 | ~float32 | ~float64
}

func mutantLess[T cmp.Ordered](n int, a, b T) bool {
	return mutantOrder(n, a < b, a <= b, a >= b)
}

func mutantAtMost[T cmp.Ordered](n int, a, b T) bool {
	return mutantOrder(n, a <= b, a < b, a > b)
}

func mutantOrder(n int, is, moved, turned bool) bool {
	if mutantN < 0 {
		mutantMeets(n, is != moved)
		mutantMeets(n+1, is != turned)
	}
	switch mutantN {
	case n:
		return moved
	case n + 1:
		return turned
	}
	return is
}

func mutantMore[T cmp.Ordered](n int, a, b T) bool    { return mutantLess(n, b, a) }
func mutantAtLeast[T cmp.Ordered](n int, a, b T) bool { return mutantAtMost(n, b, a) }

func mutantAdd[T mutantNumber](n int, a, b T) T { return a + mutantTurn(n, b) }
func mutantSub[T mutantNumber](n int, a, b T) T { return a - mutantTurn(n, b) }

func mutantTurn[T mutantNumber](n int, a T) T {
	if a != 0 && mutantIs(n) {
		return -a
	}
	return a
}

func mutantNear[T mutantNumber](n int, a T) T {
	switch {
	case mutantIs(n):
		return a + 1
	case mutantIs(n + 1):
		return a - 1
	}
	return a
}
