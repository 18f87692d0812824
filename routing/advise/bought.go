package advise

import (
	"cmp"
	"context"
	"slices"
	"strings"

	"choirloft/profiles"
	"choirloft/routing/purchase"
)

// Bought is what further banks would do, and what of them the rack cannot hold.
type Bought struct {
	// After is the fix of the best settings that make nothing worse, by place on
	// the list; −1 where none helps, or it is not listed.
	After int
	// Fewest is the smallest purchase that helps after those settings; nil where none
	// does. Needless: they leave nothing that one could help.
	Fewest   *purchase.Purchase
	Needless bool
	Tried    int  // purchases that were played
	Short    bool // the budget was not enough for others
	// Refused are those that would have been tried and that the rack cannot hold: of each
	// bank that they are like the smallest.
	Refused []*purchase.Purchase
}

// mostMore is the most further voices that are tried.
const mostMore = 64

// oneByOne is how many banks are added one by one; beyond, by halving.
const oneByOne = 8

// buy adds banks to how things are, and to the best of the settings. A run that leaves
// voices of the rig out buys nothing: it gets some of them back.
func (f *finder) buy(ctx context.Context) error {
	starts := slices.Compact([]*tried{f.lean, f.now})
	if out := f.songs[0].LeftOut(); out > 0 {
		return f.putBack(ctx, starts, out)
	}
	for _, t := range starts {
		for _, like := range f.likes() {
			if err := f.buyLike(ctx, t, like); err != nil {
				return err
			}
		}
	}
	return nil
}

// likes are the banks that others can be like: of those that are alike and are played by
// the same parts the last.
func (f *finder) likes() (all []int) {
	rig := f.plan.Rig
	same := func(a, b int) bool {
		x, y := &rig.Banks[a], &rig.Banks[b]
		return x.Kind == y.Kind && x.Size == y.Size && slices.Equal(x.Lanes, y.Lanes) && slices.Equal(players(rig, a), players(rig, b))
	}
	for i := range f.plan.Unchanged.Banks {
		if len(players(rig, i)) == 0 {
			continue
		}
		all = append(slices.DeleteFunc(all, func(b int) bool { return same(b, i) }), i)
	}
	return all
}

// players are the parts that play on a bank.
func players(rig *profiles.Rig, bank int) (parts []int) {
	for i := range rig.Parts {
		if slices.Contains(rig.Parts[i].Banks, bank) {
			parts = append(parts, i)
		}
	}
	return parts
}

// mostBanks like one are tried: as many as make up the voices that its parts ask for at most, and
// one at least.
func (f *finder) mostBanks(like int) int {
	asked, have := 0, 0
	banks := map[int]bool{}
	for _, p := range players(f.plan.Rig, like) {
		peak := 0
		for _, s := range f.songs {
			peak = max(peak, s.Before().Parts[p].Demand.Audible)
		}
		asked += peak
		for _, b := range f.plan.Rules.Config.Parts[p].Banks {
			banks[b] = true
		}
	}
	for b := range banks {
		have += f.count[b]
	}
	size := f.plan.Rig.Banks[like].Size
	short := min(asked-have, mostMore)
	return min(purchase.Most, max(1, (short+size-1)/size))
}

// The two searches for the fewest voices: nothing is heard, and nothing plainly.
var silences = []func(*tried) bool{func(u *tried) bool { return u.Faint == 0 }, func(u *tried) bool { return u.Plain == 0 }}

// fewest looks for the smallest number, above one that is known to be too small and up to
// a most, with which nothing is heard, and with which nothing is plainly, by halving.
func fewest(low, most int, play func(n int) (*tried, error)) error {
	for _, enough := range silences {
		for below, high := low, most+1; high-below > 1; {
			n := below + (high-below)/2
			u, err := play(n)
			if err != nil || u == nil {
				return err
			}
			if enough(u) {
				high = n
			} else {
				below = n
			}
		}
	}
	return nil
}

// buyLike adds banks like one: one by one until nothing is heard, and where that takes
// many by halving.
func (f *finder) buyLike(ctx context.Context, t *tried, like int) error {
	most := f.holds(like, f.mostBanks(like))
	for n := 1; n <= min(most, oneByOne); n++ {
		u, err := f.with(ctx, t, like, n)
		if err != nil || u == nil || u.Faint == 0 {
			return err
		}
	}
	return fewest(oneByOne, most, func(n int) (*tried, error) { return f.with(ctx, t, like, n) })
}

// holds is how many banks like one the rack can hold, up to most. The fewest that it
// cannot are noted once.
func (f *finder) holds(like, most int) int {
	low, high := 0, most+1
	var refused *purchase.Purchase
	for n := 1; high-low > 1; n = low + (high-low)/2 {
		if p := f.plan.Buying(like, n); len(p.Refused) == 0 {
			low = n
		} else {
			high, refused = n, p
		}
	}
	if refused != nil && !slices.ContainsFunc(f.bought.Refused, func(p *purchase.Purchase) bool { return p.Like == like }) {
		f.bought.Refused = append(f.bought.Refused, refused)
	}
	return low
}

// with plays a state with banks more; nil where the budget is not enough, or it cannot be.
func (f *finder) with(ctx context.Context, t *tried, like, n int) (*tried, error) {
	name := f.plan.Rig.Banks[like].Name
	more, ok := f.songs[0].Buy(name, n)
	if !ok {
		return nil, nil
	}
	p := f.plan.Buying(like, n)
	o := t.overrides.With(more)
	o.Banks = slices.Clone(o.Banks)
	for i, v := range o.Banks {
		o.Banks[i].Value = v.Value.Beside(name, p.Names()) // parts that are seated otherwise play on them too
	}
	u, err := f.playMore(ctx, &tried{state: t.state, overrides: o, effort: Buying, lines: t.lines + p.Lines(), more: n * f.plan.Rig.Banks[like].Size, adds: more, purchase: p})
	if u != nil {
		f.bought.Tried++
	}
	return u, err
}

// putBack looks for the fewest voices of the rig that the run leaves out and that help
// when they are back.
func (f *finder) putBack(ctx context.Context, starts []*tried, out int) error {
	for _, t := range starts {
		err := fewest(0, min(out, mostMore), func(n int) (*tried, error) {
			more, _ := f.songs[0].More(n)
			return f.playMore(ctx, &tried{state: t.state, overrides: t.overrides.With(more), effort: Buying, lines: t.lines + 1, more: n, adds: more})
		})
		if err != nil {
			return err
		}
	}
	return nil
}

// playMore plays a state with voices more, once; nil where the budget is not enough.
func (f *finder) playMore(ctx context.Context, u *tried) (*tried, error) {
	key := strings.Join(u.overrides.Flags(), " ")
	if known := f.known[key]; known != nil {
		return known, ctx.Err()
	}
	w := f.work(u.overrides)
	if w > f.left {
		f.short, f.bought.Short = true, true
		return nil, ctx.Err()
	}
	f.left -= w
	f.known[key] = u
	f.try(u)
	f.played++
	if !u.ok {
		return nil, ctx.Err()
	}
	return u, ctx.Err()
}

// like is the bank that bought ones are like, by index; −1 for none.
func (t *tried) like() int {
	if t.purchase == nil {
		return -1
	}
	return t.purchase.Like
}

// after notes the smallest purchase that helps after the best of the settings, and where
// those stand on the list.
func (f *finder) after(fixes []Fix) {
	best := f.lean
	if best == nil { // the budget ended before
		best = f.now
	}
	f.bought.After = slices.IndexFunc(fixes, func(x Fix) bool { return x.tried == best })
	var least *tried
	for _, t := range f.known {
		if t.ok && t.purchase != nil && slices.Equal(t.state, best.state) && t.helpsOver(&best.Figures) &&
			(least == nil || cmp.Or(cmp.Compare(t.more, least.more), f.order(t, least)) < 0) {
			least = t
		}
	}
	if least != nil {
		f.bought.Fewest = least.purchase
	}
}
