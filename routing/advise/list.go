package advise

import (
	"cmp"
	"context"
	"math"
	"slices"
	"time"

	"choirloft/alloc/study"
	"choirloft/routing/plan"
	"choirloft/routing/purchase"
	"choirloft/routing/whatif"
)

// Fix is something to do, and what it leaves. On a list no two are the same, and none
// is beaten: another that takes no more effort and no more lines of the rig is then no
// worse in any figure and better in one.
type Fix struct {
	Overrides plan.Overrides     // on top of those of the sessions
	More      int                // further voices
	Purchase  *purchase.Purchase // of whole banks; nil for voices that the rig has, and for none
	Passes    int                // recordings that the song is split into; 0 where it is not
	Groups    [][]int            // the parts of each recording; nil where each has some of the notes of all
	Effort    Effort             // the dearest of its changes
	Lines     int                // keys of the rig that it changes
	Figures
	Songs  []Figures
	Prices []Price // what is worse than now: such a fix is never first, but see mends
	Harms  []Harm  // the parts that lose more than now
	// Near: a fix that takes less effort, or fewer lines, leaves hardly more to hear.
	Near    bool
	Changes []plan.Overrides // of each kind what it changes
	Steps   []Figures        // what is left after each change, the one that saves most first; without the last
	On      int              // the fix that it goes on with, by place on the list; −1
	Shared  []Shared
	After   study.Score // beside the first song as it was played, edits included
	Ear     *whatif.Ear // what is heard of the first song with its losses counted; nil where the budget was not enough
	NoJack  int         // voices in service without a jack then
	tried   *tried
}

// Harm is what a part loses more with a fix than without any.
type Harm struct {
	Part  int
	Notes int // cut short or dropped; below 0 where more time of fewer is lost
	Lost  time.Duration
}

// harms lists the parts that lose more notes than now, or as many and more time.
func harms(then, now []whatif.PartLoss) (list []Harm) {
	for i := range then {
		h := Harm{i, then[i].Notes - now[i].Notes, then[i].Lost - now[i].Lost}
		if h.Notes > 0 || h.Lost > dearTime {
			list = append(list, h)
		}
	}
	return list
}

// perEffort is how many fixes of one effort are listed.
const perEffort = 6

// list makes the list of what was tried.
func (f *finder) list(ctx context.Context) ([]Fix, error) {
	var all []*tried
	for _, t := range f.known {
		if t.ok && f.helps(t) {
			all = append(all, t)
		}
	}
	slices.SortFunc(all, f.order)
	all = unbeaten(all)
	var chosen []*tried
	for effort := Setting; effort <= Buying; effort++ {
		chosen = append(chosen, f.stairs(all, effort)...)
	}
	for i, t := range chosen {
		lean, err := f.minimal(ctx, t)
		if err != nil {
			return nil, err
		}
		chosen[i] = lean
	}
	slices.SortFunc(chosen, f.order)
	chosen = unbeaten(slices.Compact(chosen))
	var fixes []Fix
	for _, t := range chosen {
		x, err := f.fix(ctx, t)
		if err != nil {
			return nil, err
		}
		fixes = append(fixes, x)
	}
	return f.arrange(fixes), nil
}

// helps tells whether less is heard than now, or as much of it and less is lost, and not
// next to nothing.
func (f *finder) helps(t *tried) bool { return t != f.now && t.helpsOver(&f.now.Figures) }

// helpsOver is helps beside something else than now.
func (t *tried) helpsOver(now *Figures) bool {
	if t.Same(now) {
		return false
	}
	lost, was := t.Dropped+t.Cut, now.Dropped+now.Cut
	fewer := lost < was && float64(lost) <= float64((1-spare)*float64(was)) || t.Lost < now.Lost-dearTime && t.Lost.Seconds() <= float64((1-spare)*now.Lost.Seconds())
	return t.mends(now) || t.Heard < now.Heard-sameHeard && t.Heard <= float64((1-spare)*now.Heard) || fewer && t.noWorse(now)
}

// unbeaten leaves out of states in order what another one beats, or is the same as.
func unbeaten(all []*tried) (kept []*tried) {
	for i, t := range all {
		beaten := slices.ContainsFunc(all, func(u *tried) bool {
			// Recordings to mix serve nobody who plays live, and to share each part out to several
			// nobody who records by part.
			live := u.passes == 0 || t.passes > 0 && (u.groups != nil || t.groups == nil)
			return u != t && live && u.effort <= t.effort && u.lines <= t.lines && u.beats(&t.Figures)
		})
		same := slices.ContainsFunc(all[:i], func(u *tried) bool {
			return (u.passes == 0 || u.passes == t.passes && (u.groups == nil) == (t.groups == nil)) && u.lines <= t.lines && u.Same(&t.Figures)
		})
		if !beaten && !same {
			kept = append(kept, t)
		}
	}
	return kept
}

// stairs chooses of one effort what leaves the least to hear, then what does of those with fewer
// lines, and so on, and what does with no price.
func (f *finder) stairs(all []*tried, effort Effort) (chosen []*tried) {
	least := func(of func(*tried) bool) *tried {
		var best *tried
		for _, t := range all {
			if t.effort == effort && of(t) && (best == nil || f.byEar(&t.Figures, &best.Figures) < 0) {
				best = t
			}
		}
		return best
	}
	free := func(t *tried) bool { return len(t.prices(&f.now.Figures)) == 0 }
	mends := func(t *tried) bool { return t.mends(&f.now.Figures) }
	byPart := func(t *tried) bool { return t.groups != nil }
	for _, fits := range []func(*tried) bool{free, func(*tried) bool { return true }, mends, byPart} {
		lines := math.MaxInt
		for range perEffort {
			t := least(func(t *tried) bool { return t.lines < lines && fits(t) })
			if t == nil {
				break
			}
			if lines = t.lines; !slices.Contains(chosen, t) {
				chosen = append(chosen, t)
			}
		}
	}
	return chosen
}

// fix makes a fix of a state.
func (f *finder) fix(ctx context.Context, t *tried) (Fix, error) {
	x := Fix{Overrides: t.overrides, Passes: t.passes, Groups: t.groups, More: t.more, Purchase: t.purchase, Effort: t.effort, Lines: t.lines, Figures: t.Figures, Songs: t.Songs, Prices: t.prices(&f.now.Figures), Harms: harms(t.parts, f.now.parts),
		Shared: f.shared(t.state), On: -1, tried: t}
	x.NoJack, x.After = t.trials[0].NoJack, t.trials[0].After
	order, steps, err := f.ladder(ctx, t)
	x.Steps = steps
	for _, g := range order {
		only := f.as()
		for _, slot := range g {
			only[slot] = t.state[slot]
		}
		x.Changes = append(x.Changes, f.overrides(only))
	}
	if t.more > 0 {
		x.Changes = append(x.Changes, t.adds)
	}
	if t.passes > 0 {
		x.Changes = append(x.Changes, plan.Overrides{})
	}
	return x, err
}

// worse are single changes with which more is heard than now: of each kind the worst.
func (f *finder) worse() []Fix {
	worst := map[string]*tried{}
	for _, t := range f.known {
		if !t.ok || t.more+t.passes > 0 || t.Heard <= f.now.Heard+dearHeard {
			continue
		}
		groups := f.groups(t.state)
		if len(groups) != 1 {
			continue
		}
		flag := f.slots[groups[0][0]].flag
		if w := worst[flag]; w == nil || cmp.Or(cmp.Compare(w.Heard, t.Heard), f.order(t, w)) < 0 {
			worst[flag] = t
		}
	}
	var list []Fix
	for _, t := range worst {
		list = append(list, Fix{Overrides: t.overrides, Effort: t.effort, Lines: t.lines, Figures: t.Figures, Songs: t.Songs, Prices: t.prices(&f.now.Figures),
			Changes: []plan.Overrides{t.overrides}, On: -1, NoJack: t.trials[0].NoJack, After: t.trials[0].After, tried: t})
	}
	slices.SortFunc(list, func(a, b Fix) int { return cmp.Or(cmp.Compare(b.Heard, a.Heard), f.order(a.tried, b.tried)) })
	return list
}
