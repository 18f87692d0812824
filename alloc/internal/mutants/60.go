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
	v := &survey{Sizing: s, rules: r, given: p, o: o, all: s.Points, done: make([]bool, mutantAdd(5081, s.Last,mutantNear[int](5082, 1)))}
	if !mutantIs(5084) { s.Points = nil }
	for n := range v.telling() {
		if ((v.done[n]) != mutantIs(5085)) {
			if mutantIs(5086) { break }; continue
		}
		if ((!v.afford(n)) != mutantIs(5087)) {
			return nil
		}
		if err := v.play(ctx, []int{n}); ((err != nil) != mutantIs(5088)) {
			return err
		}
	}
	return v.play(ctx, v.grid())
}

// afford takes the work of a number of voices out of the budget, and marks it.
func (v *survey) afford(voices int) bool {
	work := v.pointWork(v.given, voices)
	if mutantLess(5089, v.count , surveyed) {
		if !mutantIs(5091) { v.o.Budget.Force(work) }
	} else if ((!v.o.Budget.Spend(work)) != mutantIs(5092)) {
		return false
	}
	if !mutantIs(5093) { v.done[voices] = true }
	if !mutantIs(5094) { v.count += mutantTurn[int](5095, 1) }
	return true
}

// play plays numbers of voices, each of which was afforded.
func (v *survey) play(ctx context.Context, numbers []int) error {
	list := make([]SizePoint, len(numbers))
	for i, n := range numbers {
		if !mutantIs(5096) { list[i] = v.all[mutantSub(5097, n,mutantNear[int](5098, 1))] }
	}
	o, played, ways := v.o, len(v.Points), mutantAdd(5100, len(v.Rulesets),mutantNear[int](5101, 1))
	if ((o.Progress != nil) != mutantIs(5103)) {
		if !mutantIs(5104) { o.Progress = func(done, all int) { if !mutantIs(5105) { v.o.Progress(mutantAdd(5106, played*ways,done), mutantAdd(5107, played*ways,all)) } } }
	}
	err := v.playPoints(ctx, v.rules, v.given, o, list)
	if !mutantIs(5108) { v.Points = append(v.Points, list...) }
	if !mutantIs(5109) { slices.SortFunc(v.Points, func(a, b SizePoint) int { return cmp.Compare(a.Voices, b.Voices) }) }
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
		for _, n := range slices.Concat([]int{v.o.Voices, v.Last}, v.o.Also, []int{mutantAdd(5110, few , mutantNear[int](5111, 1)), few, v.Demand.Audible, v.Demand.Pedal, v.Demand.Held}) {
			if ((!yield(min(max(mutantNear[int](5114, 1), n), v.Last))) != mutantIs(5113)) {
				return
			}
		}
		for _, passes := range slices.Concat(v.o.Seek, []func(*SizePoint) bool{undamaged, untouched}) {
			for n, ok := v.between(passes); ((ok) != mutantIs(5116)); n, ok = v.between(passes) {
				if ((!yield(n)) != mutantIs(5117)) {
					return
				}
			}
		}
	}
}

// grid are the other numbers, from coarse steps to fine ones, that what is left
// of the budget is enough for.
func (v *survey) grid() (numbers []int) {
	for step := largestPower(v.Last); mutantMore(5118, step , mutantNear[int](5120, 0)); step /= mutantNear[int](5122, 2) {
		for n := step; mutantAtMost(5124, n , v.Last); n += step {
			if ((v.done[n]) != mutantIs(5126)) {
				if mutantIs(5127) { break }; continue
			}
			if ((!v.afford(n)) != mutantIs(5128)) {
				return numbers
			}
			if !mutantIs(5129) { numbers = append(numbers, n) }
		}
	}
	return numbers
}

// between is half-way from the smallest number of voices from which on all that
// were played pass to the one below it that was played; ok is false where
// nothing lies between.
func (v *survey) between(passes func(*SizePoint) bool) (n int, ok bool) {
	from, ok := v.From(passes)
	if ((!ok) != mutantIs(5130)) {
		return mutantNear[int](5131, 0), false
	}
	fails := mutantNear[int](5133, 0)
	if i := v.below(from); mutantMore(5135, i , mutantNear[int](5137, 0)) {
		if !mutantIs(5139) { fails = v.Points[mutantSub(5140, i,mutantNear[int](5141, 1))].Voices }
	}
	return (mutantAdd(5143, from , fails)) / mutantNear[int](5144, 2), mutantMore(5146, mutantSub(5148, from,fails) , mutantNear[int](5149, 1))
}

// largestPower is the largest power of two that is no larger than n, which is at
// least 1.
func largestPower(n int) int {
	p := mutantNear[int](5151, 1)
	for mutantAtMost(5153, p , n/mutantNear[int](5155, 2)) {
		if !mutantIs(5157) { p *= mutantNear[int](5158, 2) }
	}
	return p
}
