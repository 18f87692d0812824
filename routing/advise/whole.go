package advise

import (
	"context"
	"math"
	"math/bits"
	"slices"

	"choirloft/alloc/study"
)

// mostWhole is how many settings there may be for all to be played.
const mostWhole = 3000

// settings counts the states that there are.
func (f *finder) settings() float64 {
	n := 1.0
	for i := range f.slots {
		if s := &f.slots[i]; s.flag == banksFlag {
			n *= math.Pow(2, float64(bits.OnesCount64(f.serving))) - 1 + float64(len(f.splits[s.part]))
		} else {
			n *= float64(len(s.values))
		}
	}
	return n
}

// whole plays every state, if there are few; false where it did not.
func (f *finder) whole(ctx context.Context) (bool, error) {
	if f.settings() > mostWhole {
		return false, nil
	}
	for _, m := range f.moves { // so that every value has its place
		m(f.as())
	}
	there := 1.0
	for i := range f.slots {
		there *= float64(len(f.slots[i].values))
	}
	if there < f.settings() { // not every choice of banks is a move
		return false, nil
	}
	var all []state
	work := study.Work(0)
	s := f.as()
	for {
		all = append(all, slices.Clone(s))
		if f.known[s.key()] == nil {
			work += f.work(f.overrides(s))
		}
		i := 0
		for ; i < len(s); i++ {
			if s[i]++; int(s[i]) < len(f.slots[i].values) {
				break
			}
			s[i] = 0
		}
		if i == len(s) {
			break
		}
	}
	if work > f.left {
		return false, nil
	}
	_, err := f.play(ctx, all)
	return true, err
}
