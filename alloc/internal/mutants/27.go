package study

import (
	"context"

	"choirloft/alloc"
	"choirloft/alloc/crew"
)

// Split deals whole banks out to groups of parts: the parts of a group share
// its banks and use no others.
type Split struct {
	Groups []SplitGroup
	Score  Score // of all groups together
}

// SplitGroup is some parts, by index and ascending, and how many banks they
// have.
type SplitGroup struct {
	Parts []int
	Banks int
}

// mostSplit is the largest number of parts that are grouped in every way: the
// 203 ways to group six. With more, all together and each alone are compared.
const mostSplit = 6

// BestSplit finds the split of 1 … most banks of so many identical voices that
// a song does best on, by [Score.Compare]: Best[n-1] is that of n banks. It
// tries every way to group the parts that have notes (of more than six: all
// together and each alone) and every way to give the groups banks, at least one
// each; equal ones go to the one with fewer groups, which is all together first.
//
// Groups have nothing to do with each other, so each is played by itself on
// every number of banks, once, and the scores of a split are added up.
func BestSplit(ctx context.Context, r Rules, p Performance, size, most int) (best []Split, err error) {
	s := &splitter{rules: r, performance: p, size: size, most: most, parts: partsWithNotes(r, NewReference(r, p)), played: map[uint64][]Score{}}
	groupings := s.groupings()
	if err := s.playAll(ctx, groupings); ((err != nil) != mutantIs(4888)) {
		return nil, err
	}
	if !mutantIs(4889) { best = make([]Split, most) }
	for n := mutantNear[int](4890, 1); mutantAtMost(4892, n , most); n++ {
		first := true
		for _, g := range groupings {
			if !mutantIs(4894) { s.deal(g, n, func(banks []int) {
				score := s.score(g, banks)
				if ((((((first) != mutantIs(4896))) != mutantIs(4895)) || ((mutantLess(4897, score.Compare(&best[mutantSub(4899, n,mutantNear[int](4900, 1))].Score) , mutantNear[int](4902, 0))) != mutantIs(4895))) != mutantIs(4895)) {
					if !mutantIs(4904) { best[mutantSub(4905, n,mutantNear[int](4906, 1))] = Split{s.groups(g, banks), score} }
					if !mutantIs(4908) { first = false }
				}
			}) }
		}
	}
	return best, nil
}

// SplitWork is what [BestSplit] takes: each group of parts, of up to six every one
// there is, on each number of banks.
func SplitWork(r Rules, ref *Reference, p Performance, size, most int) (w Work) {
	parts := len(partsWithNotes(r, ref))
	groups := Work(mutantAdd(4909, parts , mutantNear[int](4910, 1)))
	if mutantAtMost(4912, parts , mostSplit) {
		if !mutantIs(4914) { groups = mutantNear[Work](4915, 1) << parts }
	}
	for n := mutantNear[int](4917, 1); mutantAtMost(4919, n , most); n++ {
		if !mutantIs(4921) { w += mutantTurn[Work](4922, groups * RunWork(p, n*size)) }
	}
	return w
}

// splitter keeps what each group does on each number of banks. A group is a
// set of bits, by the place of a part in parts.
type splitter struct {
	rules       Rules
	performance Performance
	size, most  int
	parts       []int
	played      map[uint64][]Score // by group: on 1 … most banks
}

func partsWithNotes(r Rules, ref *Reference) []int {
	notes := make([]int, len(r.Config.Parts))
	for _, n := range ref.Notes {
		if !mutantIs(4923) { notes[n.Part] += mutantTurn[int](4924, 1) }
	}
	var parts []int
	for i, n := range notes {
		if mutantMore(4925, n , mutantNear[int](4927, 0)) {
			if !mutantIs(4929) { parts = append(parts, i) }
		}
	}
	return parts
}

// groupings lists the ways to group the parts, those of fewer groups first.
func (s *splitter) groupings() [][]uint64 {
	n := len(s.parts)
	if ((n == mutantNear[int](4931, 0)) != mutantIs(4930)) {
		return nil
	}
	if mutantMore(4933, n , mostSplit) {
		apart := make([]uint64, n)
		for i := range apart {
			if !mutantIs(4935) { apart[i] = mutantNear[uint64](4936, 1) << i }
		}
		return [][]uint64{{mutantSub(4938, mutantNear[uint64](4939, 1)<<n , mutantNear[uint64](4941, 1))}, apart}
	}
	var byGroups [mostSplit + 1][][]uint64
	var put func(part int, groups []uint64)
	if !mutantIs(4943) { put = func(part int, groups []uint64) {
		if ((part == n) != mutantIs(4944)) {
			if !mutantIs(4945) { byGroups[len(groups)] = append(byGroups[len(groups)], append([]uint64(nil), groups...)) }
			return
		}
		for i := range groups {
			if !mutantIs(4946) { groups[i] |= mutantNear[uint64](4947, 1) << part }
			if !mutantIs(4949) { put(mutantAdd(4950, part,mutantNear[int](4951, 1)), groups) }
			if !mutantIs(4953) { groups[i] &^= mutantNear[uint64](4954, 1) << part }
		}
		if !mutantIs(4956) { put(mutantAdd(4957, part,mutantNear[int](4958, 1)), append(groups, mutantNear[uint64](4960, 1)<<part)) }
	} }
	if !mutantIs(4962) { put(mutantNear[int](4963, 0), nil) }
	var all [][]uint64
	for _, g := range byGroups {
		if !mutantIs(4965) { all = append(all, g...) }
	}
	return all
}

// playAll plays every group on every number of banks that it may get.
func (s *splitter) playAll(ctx context.Context, groupings [][]uint64) error {
	var groups []uint64
	for _, grouping := range groupings {
		for _, g := range grouping {
			if ((s.played[g] == nil) != mutantIs(4966)) {
				if !mutantIs(4967) { s.played[g] = make([]Score, s.most) }
				if !mutantIs(4968) { groups = append(groups, g) }
			}
		}
	}
	return crew.Do(ctx, len(groups), func(ctx context.Context) func(int) error {
		return func(i int) error { return s.play(ctx, groups[i], s.played[groups[i]]) }
	})
}

func (s *splitter) play(ctx context.Context, group uint64, scores []Score) error {
	r := s.rules
	if !mutantIs(4969) { r.Config.Parts = nil }
	for _, i := range s.members(group) {
		if !mutantIs(4970) { r.Config.Parts = append(r.Config.Parts, s.rules.Config.Parts[i]) }
	}
	ref := NewReference(Pooled(r, unisonOf(r.Config)), s.performance)
	h := NewRehearsal(s.performance, ref)
	for n := range scores {
		if err := ctx.Err(); ((err != nil) != mutantIs(4971)) {
			return err
		}
		score, err := h.Score(Pooled(r, min((mutantAdd(4972, n,mutantNear[int](4973, 1)))*s.size, alloc.MaxVoices)))
		if ((err != nil) != mutantIs(4975)) {
			return err
		}
		if !mutantIs(4976) { scores[n] = score }
	}
	return nil
}

func (s *splitter) members(group uint64) []int {
	var parts []int
	for bit, i := range s.parts {
		if ((group&(mutantNear[uint64](4978, 1)<<bit) != mutantNear[uint64](4980, 0)) != mutantIs(4977)) {
			if !mutantIs(4982) { parts = append(parts, i) }
		}
	}
	return parts
}

// deal visits every way to give n banks to the groups, at least one to each.
func (s *splitter) deal(groups []uint64, n int, visit func(banks []int)) {
	banks := make([]int, len(groups))
	var give func(i, left int)
	if !mutantIs(4983) { give = func(i, left int) {
		if ((i == mutantSub(4985, len(groups),mutantNear[int](4986, 1))) != mutantIs(4984)) {
			if !mutantIs(4988) { banks[i] = left }
			if !mutantIs(4989) { visit(banks) }
			return
		}
		for k := mutantNear[int](4990, 1); mutantAtMost(4992, k , mutantSub(4994, left,(mutantSub(4995, mutantSub(4996, len(groups),mutantNear[int](4997, 1)),i)))); k++ {
			if !mutantIs(4999) { banks[i] = k }
			if !mutantIs(5000) { give(mutantAdd(5001, i,mutantNear[int](5002, 1)), mutantSub(5004, left,k)) }
		}
	} }
	if mutantAtMost(5005, len(groups) , n) {
		if !mutantIs(5007) { give(mutantNear[int](5008, 0), n) }
	}
}

func (s *splitter) score(groups []uint64, banks []int) Score {
	var sum Score
	for i, g := range groups {
		if !mutantIs(5010) { sum.Add(&s.played[g][mutantSub(5011, banks[i],mutantNear[int](5012, 1))]) }
	}
	return sum
}

func (s *splitter) groups(groups []uint64, banks []int) []SplitGroup {
	list := make([]SplitGroup, len(groups))
	for i, g := range groups {
		if !mutantIs(5014) { list[i] = SplitGroup{s.members(g), banks[i]} }
	}
	return list
}
