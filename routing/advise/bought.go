package advise

import (
	"context"
	"slices"
	"strings"

	"choirloft/profiles"
	"choirloft/routing"
	"choirloft/routing/growth"
	"choirloft/routing/plan"
)

// mostMore is the most voices that are added.
const mostMore = 64

// room says how many voices more there is room for: jacks, channels and width.
type room struct {
	now  routing.Short
	most int // by width
}

func (f *finder) room() *room {
	p := f.plan
	r := &room{most: mostMore}
	if len(p.Rig.Interfaces) > 0 {
		r.now = routing.Lacks(p.Rig)
	}
	for _, l := range growth.New(p.Map).Limits {
		if l.Resource == growth.Width && !l.Unknown {
			r.most = min(r.most, l.Banks*p.Rig.Banks[len(p.Rig.Banks)-1].Size)
		}
	}
	return r
}

// fits tells whether so many voices can be bought: none of theirs lacks a jack or a
// channel that was not lacking before.
func (r *room) fits(rig *profiles.Rig, more int) bool {
	if len(rig.Interfaces) == 0 {
		return more <= r.most
	}
	lacks := routing.Lacks(rig)
	return more <= r.most && lacks.Jacks <= r.now.Jacks && lacks.Messages <= r.now.Messages
}

// buy adds voices to how things are, and to the best of the settings.
func (f *finder) buy(ctx context.Context, onto ...*tried) error {
	r := f.room()
	peak := 0
	for _, s := range f.songs {
		peak = max(peak, s.Before().Rig.Demand.Audible-s.Before().Rig.Voices)
	}
	for i, t := range onto {
		if t == nil || i > 0 && t == onto[0] {
			continue
		}
		if err := f.buyOnto(ctx, r, t, min(peak, mostMore)); err != nil {
			return err
		}
	}
	return nil
}

// buyOnto looks for the fewest further voices with which nothing is heard, and nothing
// plainly, by halving.
func (f *finder) buyOnto(ctx context.Context, r *room, t *tried, most int) error {
	passes := []func(*tried) bool{func(u *tried) bool { return u.Faint == 0 }, func(u *tried) bool { return u.Plain == 0 }}
	for most > 0 {
		if o, ok := f.withMore(t, most); ok && f.affords(r, o, most) {
			break
		}
		most--
	}
	for _, enough := range passes {
		low, high := 0, most+1
		for high-low > 1 {
			n := low + (high-low)/2
			u, err := f.more(ctx, t, n)
			if err != nil || u == nil {
				return err
			}
			if enough(u) {
				high = n
			} else {
				low = n
			}
		}
	}
	return nil
}

// affords tells whether there is room for what is bought.
func (f *finder) affords(r *room, o plan.Overrides, n int) bool {
	rig, err := f.songs[0].Rig(o)
	bought := 0
	for _, v := range o.More {
		bought += v.Value
	}
	return err == nil && (bought == 0 || r.fits(rig, bought))
}

// withMore adds voices to what is set: parts that are seated otherwise play on them too.
func (f *finder) withMore(t *tried, n int) (plan.Overrides, bool) {
	o := t.overrides
	more, ok := f.songs[0].More(n)
	if !ok {
		return o, false
	}
	o = o.With(more)
	if len(more.More) > 0 && len(o.Banks) > 0 {
		rig, err := f.songs[0].Rig(more)
		if err != nil {
			return o, false
		}
		name := rig.Banks[len(rig.Banks)-1].Name
		o.Banks = slices.Clone(o.Banks)
		for i := range o.Banks {
			o.Banks[i].Value = append(slices.Clone(o.Banks[i].Value), name)
		}
	}
	return o, true
}

// more plays a state with voices more; nil where the budget is not enough.
func (f *finder) more(ctx context.Context, t *tried, n int) (*tried, error) {
	o, ok := f.withMore(t, n)
	if !ok {
		return nil, nil
	}
	key := strings.Join(o.Flags(), " ")
	if u := f.known[key]; u != nil {
		return u, nil
	}
	w := f.work(o)
	if w > f.left {
		f.short = true
		return nil, nil
	}
	f.left -= w
	u := &tried{state: t.state, overrides: o, effort: Buying, lines: t.lines + 1, more: n}
	f.known[key] = u
	f.try(u)
	f.played++
	if !u.ok {
		return nil, ctx.Err()
	}
	return u, ctx.Err()
}
