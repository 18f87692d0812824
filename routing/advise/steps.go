package advise

import (
	"context"
	"slices"
)

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
