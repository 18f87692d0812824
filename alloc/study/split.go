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
	if err := s.playAll(ctx, groupings); err != nil {
		return nil, err
	}
	best = make([]Split, most)
	for n := 1; n <= most; n++ {
		first := true
		for _, g := range groupings {
			s.deal(g, n, func(banks []int) {
				score := s.score(g, banks)
				if first || score.Compare(&best[n-1].Score) < 0 {
					best[n-1] = Split{s.groups(g, banks), score}
					first = false
				}
			})
		}
	}
	return best, nil
}

// SplitWork is what [BestSplit] takes: each group of parts, of up to six every one
// there is, on each number of banks.
func SplitWork(r Rules, ref *Reference, p Performance, size, most int) (w Work) {
	parts := len(partsWithNotes(r, ref))
	groups := Work(parts + 1)
	if parts <= mostSplit {
		groups = 1 << parts
	}
	for n := 1; n <= most; n++ {
		w += groups * RunWork(p, n*size)
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
		notes[n.Part]++
	}
	var parts []int
	for i, n := range notes {
		if n > 0 {
			parts = append(parts, i)
		}
	}
	return parts
}

// groupings lists the ways to group the parts, those of fewer groups first.
func (s *splitter) groupings() [][]uint64 {
	n := len(s.parts)
	if n == 0 {
		return nil
	}
	if n > mostSplit {
		apart := make([]uint64, n)
		for i := range apart {
			apart[i] = 1 << i
		}
		return [][]uint64{{1<<n - 1}, apart}
	}
	var byGroups [mostSplit + 1][][]uint64
	var put func(part int, groups []uint64)
	put = func(part int, groups []uint64) {
		if part == n {
			byGroups[len(groups)] = append(byGroups[len(groups)], append([]uint64(nil), groups...))
			return
		}
		for i := range groups {
			groups[i] |= 1 << part
			put(part+1, groups)
			groups[i] &^= 1 << part
		}
		put(part+1, append(groups, 1<<part))
	}
	put(0, nil)
	var all [][]uint64
	for _, g := range byGroups {
		all = append(all, g...)
	}
	return all
}

// playAll plays every group on every number of banks that it may get.
func (s *splitter) playAll(ctx context.Context, groupings [][]uint64) error {
	var groups []uint64
	for _, grouping := range groupings {
		for _, g := range grouping {
			if s.played[g] == nil {
				s.played[g] = make([]Score, s.most)
				groups = append(groups, g)
			}
		}
	}
	return crew.Do(ctx, len(groups), func(ctx context.Context) func(int) error {
		return func(i int) error { return s.play(ctx, groups[i], s.played[groups[i]]) }
	})
}

func (s *splitter) play(ctx context.Context, group uint64, scores []Score) error {
	r := s.rules
	r.Config.Parts = nil
	for _, i := range s.members(group) {
		r.Config.Parts = append(r.Config.Parts, s.rules.Config.Parts[i])
	}
	ref := NewReference(Pooled(r, unisonOf(r.Config)), s.performance)
	h := NewRehearsal(s.performance, ref)
	for n := range scores {
		if err := ctx.Err(); err != nil {
			return err
		}
		score, err := h.Score(Pooled(r, min((n+1)*s.size, alloc.MaxVoices)))
		if err != nil {
			return err
		}
		scores[n] = score
	}
	return nil
}

func (s *splitter) members(group uint64) []int {
	var parts []int
	for bit, i := range s.parts {
		if group&(1<<bit) != 0 {
			parts = append(parts, i)
		}
	}
	return parts
}

// deal visits every way to give n banks to the groups, at least one to each.
func (s *splitter) deal(groups []uint64, n int, visit func(banks []int)) {
	banks := make([]int, len(groups))
	var give func(i, left int)
	give = func(i, left int) {
		if i == len(groups)-1 {
			banks[i] = left
			visit(banks)
			return
		}
		for k := 1; k <= left-(len(groups)-1-i); k++ {
			banks[i] = k
			give(i+1, left-k)
		}
	}
	if len(groups) <= n {
		give(0, n)
	}
}

func (s *splitter) score(groups []uint64, banks []int) Score {
	var sum Score
	for i, g := range groups {
		sum.Add(&s.played[g][banks[i]-1])
	}
	return sum
}

func (s *splitter) groups(groups []uint64, banks []int) []SplitGroup {
	list := make([]SplitGroup, len(groups))
	for i, g := range groups {
		list[i] = SplitGroup{s.members(g), banks[i]}
	}
	return list
}
