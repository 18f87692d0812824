package whatif

import (
	"context"
	"slices"

	"choirloft/alloc/study"
	"choirloft/routing/plan"
)

// mostPaired is how many remedies are tried in twos.
const mostPaired = 12

// Pairs tries two remedies at once: each two of the best, and a bank of its own
// for a part together with a shorter release there. It stops where ctx or the
// budget ends and keeps what it has found by then; the list tells how far it came.
// A pair is kept if nothing that costs as little does as well.
func (s *Session) Pairs(ctx context.Context, l *List, progress func(done, all int)) {
	pairs := s.pairs(l)
	l.OfPairs = len(pairs)
	hear := l.Heard != nil
	n := s.Budget.Prefix(len(pairs), func(i int) study.Work {
		w := s.fixWork(&pairs[i])
		if hear {
			w += s.listenWork(pairs[i : i+1])
		}
		return w
	})
	s.cover("pairs", n, len(pairs))
	pairs = pairs[:n]
	// In small portions, so that what is done when time is up is a beginning of
	// the list, whatever ran beside what.
	const portion = 16
	var found []Fix
	for len(pairs) > 0 && ctx.Err() == nil {
		n := min(portion, len(pairs))
		done, err := s.try(ctx, slices.Clone(pairs[:n]), hear, nil)
		if err != nil {
			break
		}
		found = append(found, done...)
		pairs, l.Pairs = pairs[n:], l.Pairs+n
		if progress != nil {
			progress(l.Pairs, len(pairs)+l.Pairs)
		}
	}
	l.merge(found)
	if err := s.count(ctx, l); err == nil {
		l.settle()
	}
}

// merge adds the pairs that are worth their trouble: better than how things
// are, and than any remedy that costs no more, be it one or two.
func (l *List) merge(found []Fix) {
	slices.SortFunc(found, func(a, b Fix) int { return l.rank(&a, &b) })
	for _, f := range found {
		worthy := l.Verdict(&f) == Better && !slices.ContainsFunc(l.Better, func(one Fix) bool {
			return one.Cost <= f.Cost && l.compare(&one, &f) <= 0
		})
		if worthy {
			l.Better = append(l.Better, f)
		}
	}
	l.order()
}

func (s *Session) pairs(l *List) []Fix {
	var pairs []Fix
	add := func(a, b *Fix) {
		o, ok := both(a.Overrides, b.Overrides)
		if !ok {
			return
		}
		pairs = append(pairs, Fix{Kinds: slices.Concat(a.Kinds, b.Kinds), Each: slices.Concat(a.Each, b.Each), Part: a.Part, Cost: max(a.Cost, b.Cost),
			Overrides: o, order: 1_000_000 + len(pairs)})
	}
	best := slices.DeleteFunc(slices.Clone(l.Better), func(f Fix) bool { return f.Passes > 0 })
	best = best[:min(mostPaired, len(best))]
	for i := range best {
		for j := range best[:i] {
			add(&best[j], &best[i])
		}
	}
	s.banksAndReleases(add)
	return pairs
}

// banksAndReleases pairs banks of its own for a part with a shorter release
// there, which it cannot have while it shares its voices.
func (s *Session) banksAndReleases(add func(a, b *Fix)) {
	c := &collector{Session: s, cfg: &s.plan.Rules.Config}
	for part := range c.cfg.Parts {
		if !c.shares(part) {
			continue
		}
		c.fixes = nil
		c.ownBanks(part)
		banks := c.fixes
		c.fixes = nil
		c.release(part)
		for i := range banks {
			for j := range c.fixes {
				add(&banks[i], &c.fixes[j])
			}
		}
	}
}

// both joins overrides that say nothing of the same.
func both(a, b plan.Overrides) (o plan.Overrides, ok bool) {
	o = a.With(b)
	return o, len(o.Flags()) == len(a.Flags())+len(b.Flags())
}
