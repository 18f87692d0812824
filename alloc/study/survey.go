package study

import (
	"cmp"
	"context"
	"iter"
	"slices"
)

// survey plays some of the numbers of voices, where a budget is not enough for
// all. Each is played by every ruleset, or not at all.
type survey struct {
	*Sizing
	rules Rules
	given Performance
	o     SizingOptions
	all   []SizePoint // room for every number
	done  []bool      // by number
	count int         // of those
}

// surveyed is how many numbers are played at least, whatever the budget: that of
// the rig, and the last.
const surveyed = 2

// playSome plays numbers of voices for as long as the budget lasts, and keeps
// their points alone.
func (s *Sizing) playSome(ctx context.Context, r Rules, p Performance, o SizingOptions) error {
	v := &survey{Sizing: s, rules: r, given: p, o: o, all: s.Points, done: make([]bool, s.Last+1)}
	s.Points = nil
	for n := range v.telling() {
		if v.done[n] {
			continue
		}
		if !v.afford(n) {
			return nil
		}
		if err := v.play(ctx, []int{n}); err != nil {
			return err
		}
	}
	return v.play(ctx, v.grid())
}

// afford takes the work of a number of voices out of the budget, and marks it.
func (v *survey) afford(voices int) bool {
	work := v.pointWork(v.given, voices)
	if v.count < surveyed {
		v.o.Budget.Force(work)
	} else if !v.o.Budget.Spend(work) {
		return false
	}
	v.done[voices] = true
	v.count++
	return true
}

// play plays numbers of voices, each of which was afforded.
func (v *survey) play(ctx context.Context, numbers []int) error {
	list := make([]SizePoint, len(numbers))
	for i, n := range numbers {
		list[i] = v.all[n-1]
	}
	o, played, ways := v.o, len(v.Points), len(v.Rulesets)+1
	if o.Progress != nil {
		o.Progress = func(done, all int) { v.o.Progress(played*ways+done, played*ways+all) }
	}
	err := v.playPoints(ctx, v.rules, v.given, o, list)
	v.Points = append(v.Points, list...)
	slices.SortFunc(v.Points, func(a, b SizePoint) int { return cmp.Compare(a.Voices, b.Voices) })
	return err
}

// below counts the points of fewer voices.
func (s *Sizing) below(voices int) int {
	i, _ := slices.BinarySearchFunc(s.Points, voices, func(at SizePoint, n int) int { return cmp.Compare(at.Voices, n) })
	return i
}

// telling lists numbers of voices, the most telling first, some of them twice:
// those that are asked for; then, halving, those between which something begins to
// pass that is sought, or the rules of the parts to do no harm, which looks at what
// was played by then.
func (v *survey) telling() iter.Seq[int] {
	return func(yield func(int) bool) {
		few := v.TooFew()
		for _, n := range slices.Concat([]int{v.o.Voices, v.Last}, v.o.Also, []int{few + 1, few, v.Demand.Audible, v.Demand.Pedal, v.Demand.Held}) {
			if !yield(min(max(1, n), v.Last)) {
				return
			}
		}
		for _, passes := range slices.Concat(v.o.Seek, []func(*SizePoint) bool{undamaged, untouched}) {
			for n, ok := v.between(passes); ok; n, ok = v.between(passes) {
				if !yield(n) {
					return
				}
			}
		}
	}
}

// grid are the other numbers, from coarse steps to fine ones, that what is left
// of the budget is enough for.
func (v *survey) grid() (numbers []int) {
	for step := largestPower(v.Last); step > 0; step /= 2 {
		for n := step; n <= v.Last; n += step {
			if v.done[n] {
				continue
			}
			if !v.afford(n) {
				return numbers
			}
			numbers = append(numbers, n)
		}
	}
	return numbers
}

// between is half-way from the smallest number of voices from which on all that
// were played pass to the one below it that was played; ok is false where
// nothing lies between.
func (v *survey) between(passes func(*SizePoint) bool) (n int, ok bool) {
	from, _ := v.From(passes) // 0 if none do
	fails := 0
	if i := v.below(from); i > 0 {
		fails = v.Points[i-1].Voices
	}
	return (from + fails) / 2, from-fails > 1
}

// largestPower is the largest power of two that is no larger than n, which is at
// least 1.
func largestPower(n int) int {
	p := 1
	for p <= n/2 {
		p *= 2
	}
	return p
}
