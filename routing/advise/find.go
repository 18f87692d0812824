package advise

import (
	"cmp"
	"context"
	"slices"

	"choirloft/alloc/crew"
	"choirloft/alloc/study"
	"choirloft/routing/plan"
	"choirloft/routing/whatif"
)

// Options are how to search.
type Options struct {
	Work  study.Work // that may be done
	Kinds []string   // flags of the changes that are tried; all where there is none
	Pairs bool       // also tries two at once of the changes that help most alone
	// Keep lists what was found when ctx ends, in place of its error.
	Keep     bool
	Progress func(tried int) // told now and then, by several goroutines; may be nil
}

// Advice is what was found.
type Advice struct {
	Now   Figures
	Songs []Figures   // now, by song
	Ear   *whatif.Ear // of the first song now, with its losses counted; nil where the budget was not enough
	Fixes []Fix       // the one to try first, then by effort, and of each effort what leaves the least to hear first
	Worse []Fix       // single changes with which more is heard than now, the worst of each kind, the worst first
	// Tried settings of Of were played. Whole: all. Short: the budget ended it
	// before nothing gained any more, or before all of few.
	Tried          int
	Of             float64
	Whole          bool
	Short          bool
	Pairs, OfPairs int
	Bought         *Bought // nil where nothing needs a fix
	// Further is what the best further single change of the best settings would gain, as
	// a share of what is left; nil where that is not known.
	Further *float64
}

// Find looks for fixes for songs on one rig, with the overrides of their sessions. It
// returns the error of ctx if that ends first.
func Find(ctx context.Context, songs []*whatif.Session, o Options) (*Advice, error) {
	f := newFinder(songs, o)
	a := &Advice{Of: f.settings()}
	first, err := f.play(ctx, []state{f.as()})
	if err != nil || first[0] == nil || !first[0].ok {
		a.Short = true
		return a, err
	}
	f.now = first[0]
	a.Now, a.Songs = f.now.Figures, f.now.Songs
	if f.now.Clean() && a.Now.Wrong == 0 {
		a.Tried, a.Whole = 1, true
		return a, f.losses(ctx, a)
	}
	if err = f.all(ctx, a); err != nil {
		if ctx.Err() == nil || !o.Keep {
			return nil, err
		}
		ctx, f.left, f.short = context.WithoutCancel(ctx), 0, true
	}
	a.Short, a.Further = f.short || a.Of <= mostWhole && !a.Whole, f.further
	if a.Fixes, err = f.list(ctx); err != nil {
		return nil, err
	}
	a.Worse, a.Tried = f.worse(), f.played
	f.after(a.Fixes)
	a.Bought = &f.bought
	return a, f.losses(ctx, a)
}

// mostCounted is of how many fixes the losses are counted, each by itself.
const mostCounted = 6

// losses counts the losses of a single song as things are, and of the first fixes.
func (f *finder) losses(ctx context.Context, a *Advice) error {
	if len(f.songs) > 1 {
		return nil
	}
	s := f.songs[0]
	ears := []**whatif.Ear{&a.Ear}
	tops, passes := []plan.Overrides{{}}, []int{0}
	for i := range a.Fixes[:min(mostCounted, len(a.Fixes))] {
		x := &a.Fixes[i]
		if x.Groups != nil { // what they leave together is known
			continue
		}
		ears, tops, passes = append(ears, &x.Ear), append(tops, x.Overrides), append(passes, x.Passes)
	}
	n := 0
	for n < len(ears) && f.left >= s.LossesWork(tops[n]) {
		f.left -= s.LossesWork(tops[n])
		n++
	}
	return crew.Do(ctx, n, func(context.Context) func(int) error {
		return func(i int) (err error) {
			*ears[i], err = s.Losses(tops[i], passes[i])
			return err
		}
	})
}

// all plays all settings, or searches them, and then what is dearer; where nothing is amiss
// but pitches, only what mends these.
func (f *finder) all(ctx context.Context, a *Advice) (err error) {
	if f.now.Clean() {
		f.moves = slices.Concat(f.shifts, f.divides)
		_, err = f.climb(ctx, f.now, Playing)
		return err
	}
	var shifted []state // before all else: few, and what is out of range stays so whatever else is set
	for _, shift := range slices.Concat(f.shifts, f.divides) {
		if s, ok := shift(f.as()); ok {
			shifted = append(shifted, s)
		}
	}
	if _, err = f.play(ctx, shifted); err != nil {
		return err
	}
	if a.Whole, err = f.whole(ctx); err == nil && !a.Whole {
		err = f.search(ctx)
	}
	if err == nil {
		err = f.dearer(ctx)
	}
	if err == nil && f.Pairs {
		a.Pairs, a.OfPairs, err = f.pairs(ctx)
	}
	return err
}

// shares of the work that each effort may have spent when it ends, in hundredths, and
// the rest is for the list.
var shares = [...]study.Work{Setting: 60, Export: 70, Sound: 80, Playing: 86}

// singles is the share that may be spent when every single change was played.
const singles = 92

// search climbs from the rig as it is and from all parts on all banks, by settings; then
// goes on from the best by what takes more effort.
func (f *finder) search(ctx context.Context) error {
	all := f.left
	starts := []*tried{f.now}
	if f.moving != nil {
		wide, err := f.play(ctx, []state{f.everywhere(f.as())})
		if err != nil {
			return err
		}
		if w := wide[0]; w != nil && w.ok && w != f.now {
			starts = append(starts, w)
		}
	}
	slices.SortStableFunc(starts, func(a, b *tried) int { return cmp.Compare(f.toll(a), f.toll(b)) })
	best := f.now
	climb := func(starts []*tried, most Effort) error {
		for _, from := range starts {
			to, err := f.climb(ctx, from, most)
			if err != nil {
				return err
			}
			if f.better(to, best) {
				best = to
			}
		}
		return nil
	}
	for effort := range shares {
		share := shares[effort]
		keep := all - all*share/100
		keep = min(keep, f.left)
		f.left -= keep
		f.short = false
		if err := climb(starts, Effort(effort)); err != nil {
			return err
		}
		if Effort(effort) == Setting && f.settings() <= mostBeamed {
			if err := climb(f.beam(), Setting); err != nil {
				return err
			}
		}
		f.left += keep
		starts = []*tried{best}
		if best.Clean() {
			break
		}
	}
	keep := min(f.left, all-all*singles/100)
	f.left -= keep
	_, _, err := f.sweep(ctx, f.now, Playing) // every single change, as far as it was not played yet
	f.left += keep
	return err
}

// Where there are no more settings than mostBeamed, the search also climbs from so many of the best that it passed by.
const (
	mostBeamed = 100_000
	beamWidth  = 4
)

// beam are the best settings that were played.
func (f *finder) beam() (list []*tried) {
	for _, t := range f.known {
		if t.ok && t.effort == Setting && t != f.now && t.more+t.passes == 0 {
			list = append(list, t)
		}
	}
	slices.SortFunc(list, func(a, b *tried) int { return cmp.Or(cmp.Compare(f.toll(a), f.toll(b)), f.order(a, b)) })
	return list[:min(beamWidth, len(list))]
}

// dearer tries recordings and further voices, where settings leave something to hear.
func (f *finder) dearer(ctx context.Context) error {
	fixes, err := f.list(ctx)
	if err != nil {
		return err
	}
	f.lean = f.now
	for i := range fixes {
		if x := &fixes[i]; x.Effort == Setting && len(x.Prices) == 0 && f.better(x.tried, f.lean) {
			f.lean = x.tried
		}
	}
	if f.lean.Clean() {
		f.bought.Needless = true
		return nil
	}
	keep := f.left / 2 // for what there is to buy
	f.left -= keep
	err = f.record(ctx)
	f.left += keep
	if err != nil || len(f.Kinds) > 0 {
		return err
	}
	return f.buy(ctx)
}

// mostPaired is how many single changes are tried in twos.
const mostPaired = 12

// pairs plays two changes at once of those that help most alone: how many of how many.
func (f *finder) pairs(ctx context.Context) (played, all int, err error) {
	gains, _, err := f.sweep(ctx, f.now, Playing)
	if err != nil {
		return 0, 0, err
	}
	slices.SortFunc(gains, byGain)
	gains = gains[:min(mostPaired, len(gains))]
	var states []state
	for i, g := range gains {
		for _, h := range gains[:i] {
			one, _ := f.moves[g.move](f.as())
			if two, ok := f.moves[h.move](one); ok && g.gain > 0 && h.gain > 0 {
				states = append(states, two)
			}
		}
	}
	list, err := f.play(ctx, states)
	for _, t := range list {
		if t != nil {
			played++
		}
	}
	return played, len(states), err
}
