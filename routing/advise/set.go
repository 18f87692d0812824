package advise

import (
	"cmp"
	"context"
	"slices"

	"choirloft/routing/plan"
	"choirloft/routing/whatif"
)

// What is searched for many songs: so many that lose most, and so many fixes of theirs are
// played with all.
const (
	mostSearched = 3
	mostShared   = 4
)

// ForSet looks for fixes for many songs on one rig: it searches with those that lose most,
// which stand first in order, and plays what it finds with every song, one at a time. Figures are
// sums over all. Fixes with which more is heard in all than now are left out.
func ForSet(ctx context.Context, n int, order []int, load func(song int) (*whatif.Session, error), o Options) (*Advice, error) {
	var worst []*whatif.Session
	for _, i := range order[:min(mostSearched, len(order))] {
		s, err := load(i)
		if err != nil {
			return nil, err
		}
		worst = append(worst, s)
	}
	a := &Advice{}
	if len(worst) == 0 {
		return a, nil
	}
	a, err := Find(ctx, worst, o)
	if err != nil {
		return nil, err
	}
	a.Fixes = a.Fixes[:min(mostShared, len(a.Fixes))]
	if err := a.playAll(ctx, n, load); err != nil {
		return nil, err
	}
	a.Fixes = slices.DeleteFunc(a.Fixes, func(x Fix) bool { return x.Heard > a.Now.Heard-sameHeard && !x.beats(&a.Now) })
	slices.SortStableFunc(a.Fixes, func(x, y Fix) int {
		return cmp.Or(compareBool(len(x.Prices) > 0, len(y.Prices) > 0), cmp.Compare(x.Effort, y.Effort), cmp.Compare(x.Heard, y.Heard))
	})
	for i := range a.Fixes {
		a.Fixes[i].On, a.Fixes[i].Near, a.Fixes[i].Steps = -1, false, nil
	}
	return a, nil
}

// playAll plays the fixes, and how things are, with all songs.
func (a *Advice) playAll(ctx context.Context, n int, load func(song int) (*whatif.Session, error)) error {
	tops := []plan.Overrides{{}}
	sums := []*Figures{&a.Now}
	lists := []*[]Figures{&a.Songs}
	for i := range a.Fixes {
		x := &a.Fixes[i]
		tops, sums, lists = append(tops, x.Overrides), append(sums, &x.Figures), append(lists, &x.Songs)
	}
	for k := range tops {
		*sums[k], *lists[k] = Figures{}, make([]Figures, n)
	}
	lost := make([]tried, len(tops))
	for i := range n {
		if err := ctx.Err(); err != nil {
			return err
		}
		s, err := load(i)
		if err != nil {
			return err
		}
		for k, top := range tops {
			trial, err := s.Try(top)
			if err != nil {
				return err
			}
			(*lists[k])[i].add(trial)
			sums[k].add(trial)
			lost[k].lose(trial.Parts)
		}
	}
	for i := range a.Fixes {
		a.Fixes[i].Prices, a.Fixes[i].Harms = a.Fixes[i].prices(&a.Now), harms(lost[i+1].parts, lost[0].parts)
	}
	return nil
}

// Worst is the song in which the most is heard.
func Worst(songs []Figures) int {
	at := 0
	for i := range songs {
		if songs[i].Heard > songs[at].Heard {
			at = i
		}
	}
	return at
}
