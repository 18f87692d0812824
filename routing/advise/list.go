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
func (f *finder) harms(t *tried) (list []Harm) {
	for i := range t.parts {
		h := Harm{i, t.parts[i].Notes - f.now.parts[i].Notes, t.parts[i].Lost - f.now.parts[i].Lost}
		if h.Notes > 0 || h.Lost > dearTime {
			list = append(list, h)
		}
	}
	return list
}

// What is hardly more: so much of what is heard, and of dB·s.
const (
	nearShare = 0.05
	nearHeard = 1
)

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

// order is that of effort, then of lines, then of what is heard and lost, then one that
// holds whatever was played first.
func (f *finder) order(a, b *tried) int {
	return cmp.Or(cmp.Compare(a.effort, b.effort), cmp.Compare(a.lines, b.lines), cmp.Compare(a.Heard, b.Heard),
		cmp.Compare(f.toll(a), f.toll(b)), slices.Compare(a.state, b.state), cmp.Compare(a.more, b.more), cmp.Compare(a.like(), b.like()),
		cmp.Compare(a.passes, b.passes), slices.CompareFunc(a.groups, b.groups, slices.Compare[[]int]))
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

// spare is the share of what is saved that a change has to save, and a fix of what is now.
const spare = 0.02

// minimal drops changes, in groups and one by one, that save next to nothing.
func (f *finder) minimal(ctx context.Context, t *tried) (*tried, error) {
	if t.more+t.passes > 0 {
		return t, nil
	}
	for _, split := range []bool{false, true} {
		for {
			next, err := f.leaner(ctx, t, split)
			if err != nil || next == nil {
				if err != nil {
					return t, err
				}
				break
			}
			t = next
		}
	}
	return t, nil
}

// leaner is a state with a change less that saves nearly as much; nil if there is none.
func (f *finder) leaner(ctx context.Context, t *tried, split bool) (*tried, error) {
	groups := f.groups(t.state)
	if split {
		var single [][]int
		for _, g := range groups {
			for _, slot := range g {
				single = append(single, []int{slot})
			}
		}
		groups = single
	}
	if len(groups) < 2 {
		return nil, nil
	}
	var states []state
	for _, g := range groups {
		states = append(states, t.state.without(g))
	}
	list, err := f.play(ctx, states)
	if err != nil {
		return nil, err
	}
	slack := spare * f.gain(f.now, t)
	var best *tried
	for _, u := range list {
		if u != nil && u.ok && f.helps(u) && f.toll(u)-f.toll(t) < slack && len(u.prices(&f.now.Figures)) <= len(t.prices(&f.now.Figures)) && (best == nil || f.better(u, best)) {
			best = u
		}
	}
	return best, nil
}

// fix makes a fix of a state.
func (f *finder) fix(ctx context.Context, t *tried) (Fix, error) {
	x := Fix{Overrides: t.overrides, Passes: t.passes, Groups: t.groups, More: t.more, Purchase: t.purchase, Effort: t.effort, Lines: t.lines, Figures: t.Figures, Songs: t.Songs, Prices: t.prices(&f.now.Figures), Harms: f.harms(t),
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

// ladder orders the changes of a state so that each saves the most of those that are left,
// and returns what is left after each but the last. Where the budget does not reach they
// keep their order, without steps.
func (f *finder) ladder(ctx context.Context, t *tried) (order [][]int, steps []Figures, err error) {
	rest := f.groups(t.state)
	at := f.as()
	for len(rest) > 1 {
		var states []state
		for _, g := range rest {
			s := slices.Clone(at)
			for _, slot := range g {
				s[slot] = t.state[slot]
			}
			states = append(states, s)
		}
		list, err := f.play(ctx, states)
		if err != nil {
			return nil, nil, err
		}
		best := -1
		for i, u := range list {
			if u == nil {
				return append(order, rest...), nil, nil
			}
			if u.ok && (best < 0 || f.better(u, list[best])) {
				best = i
			}
		}
		if best < 0 { // none of them can be made before the others
			return append(order, rest...), nil, nil
		}
		order, steps, at = append(order, rest[best]), append(steps, list[best].Figures), states[best]
		rest = slices.Delete(slices.Clone(rest), best, best+1)
	}
	return append(order, rest...), steps, nil
}

// arrange puts the one to try first in front, then orders by effort, and of each effort
// by what is left to hear.
func (f *finder) arrange(fixes []Fix) []Fix {
	for i := range fixes {
		x := &fixes[i]
		x.Near = slices.ContainsFunc(fixes, func(y Fix) bool {
			cheaper := cmp.Or(cmp.Compare(y.Effort, x.Effort), cmp.Compare(y.Lines, x.Lines)) < 0
			fewer := float64(x.Dropped+x.Cut) < float64((1-nearShare)*float64(y.Dropped+y.Cut)) // notes are not next to nothing
			return cheaper && !fewer && x.Wrong >= y.Wrong && len(y.Prices) <= len(x.Prices) && y.Heard-x.Heard < nearHeard && y.Heard-x.Heard < nearShare*y.Heard
		})
	}
	slices.SortStableFunc(fixes, func(a, b Fix) int {
		return cmp.Or(cmp.Compare(a.Effort, b.Effort), compareBool(a.Near, b.Near), f.byEar(&a.Figures, &b.Figures))
	})
	if first := f.first(fixes); first > 0 {
		x := fixes[first]
		fixes = slices.Insert(slices.Delete(fixes, first, first+1), 0, x)
	}
	for i := range fixes {
		fixes[i].On = f.builtOn(fixes, i)
	}
	return fixes
}

// byEar orders by what is left to hear, in tenths of what is heard now; what is alike by
// that by notes and seconds too.
func (f *finder) byEar(a, b *Figures) int {
	tenths := func(x *Figures) int { return int(10 * x.Heard / max(sameHeard, f.now.Heard)) }
	return cmp.Or(cmp.Compare(tenths(a), tenths(b)), cmp.Compare(a.toll(&f.now.Figures), b.toll(&f.now.Figures)))
}

func compareBool(a, b bool) int {
	switch {
	case a == b:
		return 0
	case b:
		return -1
	}
	return 1
}

// enough is the share of what is heard now that the first fix has to save to go before
// what takes more effort. Recordings never do where something cheaper leaves no more than
// plainEnough to be heard plainly.
const (
	enough      = 0.25
	plainEnough = time.Second
)

// first is the fix to try first: where more notes are at the wrong pitch than lost, what brings
// more of them into range than it moves besides; else of those without a price the one that saves most with
// the least effort, if it saves enough, else the one that saves most. It is −1 where every fix has a price.
func (f *finder) first(fixes []Fix) int {
	best := -1
	cheap := slices.ContainsFunc(fixes, func(x Fix) bool { return x.Effort < Recording && len(x.Prices) == 0 && x.Plain <= plainEnough })
	if now := &f.now.Figures; now.Wrong > now.Dropped+now.Cut { // most of what is wrong is the pitch
		for i := range fixes { // the one that mends the most with the fewest changes
			if x := &fixes[i]; x.mends(now) && !x.Near && (best < 0 || cmp.Or(cmp.Compare(x.Wrong, fixes[best].Wrong), cmp.Compare(x.Lines, fixes[best].Lines)) < 0) {
				best = i
			}
		}
		if best >= 0 {
			return best
		}
	}
	for i := range fixes {
		x := &fixes[i]
		switch {
		case len(x.Prices) > 0 || x.Near || x.Passes > 0 && cheap:
		case x.Heard <= (1-enough)*f.now.Heard:
			return i
		case best < 0 || x.Heard < fixes[best].Heard-sameHeard:
			best = i
		}
	}
	return best
}

// builtOn is the first fix all of whose changes another one has too.
func (f *finder) builtOn(fixes []Fix, i int) int {
	for j := range fixes {
		x, y := &fixes[j], &fixes[i]
		bought := y.More > 0 && slices.Equal(x.tried.state, y.tried.state)
		if x.More+x.Passes == 0 && (bought || within(x.tried.state, y.tried.state)) {
			return j
		}
	}
	return -1
}

// within tells whether all that one sets the other does too, and more.
func within(s, t state) bool {
	for i := range s {
		if s[i] != 0 && s[i] != t[i] {
			return false
		}
	}
	return !slices.Equal(s, t)
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
