package advise

import (
	"cmp"
	"context"
	"slices"

	"choirloft/alloc/crew"
	"choirloft/routing/plan"
	"choirloft/routing/whatif"
)

// mostPasses is the largest number of recordings that anybody makes.
const mostPasses = 3

// record tries recordings to be mixed: as few as leave every note whole, each with some of the
// notes of all parts; and by part, as things are and on the whole rack.
func (f *finder) record(ctx context.Context) error {
	if len(f.songs) != 1 || len(f.Kinds) > 0 {
		return nil
	}
	n, trial, err := f.songs[0].Recording(mostPasses, &f.left)
	if err != nil {
		return err
	}
	if n > 0 {
		f.recorded(&tried{state: f.as(), effort: Recording, passes: n}, trial)
	}
	var list []*tried
	for _, s := range f.wholeRack() {
		for _, groups := range f.partings() {
			t := &tried{state: s, overrides: f.overrides(s), effort: Recording, lines: f.lines(s), passes: len(groups), groups: groups}
			if w := f.songs[0].ByPartWork(t.overrides, groups); w > f.left {
				f.short = true
			} else {
				f.left -= w
				list = append(list, t)
			}
		}
	}
	trials := make([]*whatif.Trial, len(list))
	err = crew.Do(ctx, len(list), func(context.Context) func(int) error {
		return func(i int) (err error) {
			trials[i], err = f.songs[0].ByPart(list[i].overrides, list[i].groups)
			return err
		}
	})
	for i, t := range list {
		if trials[i] != nil && err == nil {
			f.recorded(t, trials[i])
		}
	}
	f.played += len(list)
	return err
}

// recorded takes down what recordings leave.
func (f *finder) recorded(t *tried, trial *whatif.Trial) {
	t.ok, t.trials, t.Songs = true, []*whatif.Trial{trial}, make([]Figures, 1)
	t.Songs[0].add(trial)
	t.add(trial)
	if trial.Parts != nil {
		t.lose(trial.Parts)
	}
	f.known["recordings "+plan.GroupsText(f.plan.Rig, t.groups)+t.state.key()] = t
}

// wholeRack are the states in which parts are recorded: as things are, and with all banks for each,
// of which nothing is kept for parts of another recording.
func (f *finder) wholeRack() []state {
	list := []state{f.as()}
	s := f.as()
	if f.moving != nil {
		s = f.everywhere(s)
	}
	for i := range f.slots {
		x := &f.slots[i]
		if at := slices.IndexFunc(x.values, func(v value) bool { return v.text == "0" }); x.flag == "--reserve" && at > 0 {
			s[i] = int16(at)
		}
	}
	if !slices.Equal(s, list[0]) {
		list = append(list, s)
	}
	return list
}

// partings are the ways to share parts out to recordings: in two and in three the busiest parts apart,
// the others each to the recording that has least to play; and each part by itself beside all others.
func (f *finder) partings() (list [][][]int) {
	n := len(f.parts)
	if n < 2 {
		return nil
	}
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(f.peaks[j], f.peaks[i]) })
	add := func(groups [][]int) {
		for _, g := range groups {
			slices.Sort(g)
		}
		slices.SortFunc(groups, slices.Compare[[]int])
		same := func(x [][]int) bool { return slices.EqualFunc(x, groups, slices.Equal[[]int]) }
		if !slices.ContainsFunc(list, same) {
			list = append(list, groups)
		}
	}
	for k := 2; k <= min(mostPasses, n); k++ {
		groups, busy := make([][]int, k), make([]int, k)
		for _, part := range order {
			to := slices.Index(busy, slices.Min(busy))
			if at := slices.IndexFunc(groups, func(g []int) bool { return g == nil }); at >= 0 {
				to = at
			}
			groups[to], busy[to] = append(groups[to], part), busy[to]+f.peaks[part]
		}
		add(groups)
	}
	for part := range n {
		others := slices.DeleteFunc(slices.Clone(order), func(i int) bool { return i == part })
		add([][]int{{part}, others})
	}
	return list
}
