package hearing

import (
	"context"
	"sync"

	"choirloft/alloc"
	"choirloft/alloc/crew"
	"choirloft/alloc/study"
)

// Song is a song with the rules of the rig that it is for, and what is assumed.
type Song struct {
	Model       Model
	Rules       study.Rules
	Performance study.Performance
	// Budget ends listening with ErrBudget before it is begun; nil for none.
	Budget *study.Budget
}

// Curve says what is heard of a song on numbers of voices, by the rules that the
// parts have, as study.Size plays it: see study.Pooled.
type Curve struct {
	Song
	Asked  *Asked
	ready  sync.Pool       // of hands
	mutex  sync.Mutex      // of played and the budget
	played map[int]Verdict // what is known already
}

// hand plays a song and listens.
type hand struct {
	*study.Rehearsal
	*listener
}

// NewCurve prepares a curve.
func NewCurve(s Song) (*Curve, error) {
	pooled := study.PooledAsAsked(s.Rules)
	a, err := NewAsked(s.Model, s.Rules.Config.Parts, study.NewReference(pooled, s.Performance))
	if err != nil {
		return nil, err
	}
	c := &Curve{Song: s, Asked: a, played: map[int]Verdict{}}
	c.ready.New = func() any {
		return &hand{c.rehearsal(), a.listener(Played{}, false)}
	}
	return c, nil
}

func (c *Curve) rehearsal() *study.Rehearsal {
	r := study.NewRehearsal(c.Performance, c.Asked.Reference)
	r.KeepTime()
	return r
}

// Known is what On would say, where it is known already.
func (c *Curve) Known(voices int) (v Verdict, known bool) {
	c.mutex.Lock()
	defer c.mutex.Unlock()
	v, known = c.played[voices]
	return v, known
}

// work is what it takes to play and hear the song on so many voices.
func (c *Curve) work(voices int) study.Work {
	return study.RunWork(c.Performance, voices) + c.Asked.Work()
}

// spend takes work out of the budget.
func (c *Curve) spend(w study.Work) error {
	c.mutex.Lock()
	defer c.mutex.Unlock()
	if !c.Budget.Spend(w) {
		return ErrBudget
	}
	return nil
}

// Most is enough voices for every tail, at least 1: the peak that [Curve.Demand]
// may start with.
func (c *Curve) Most() int {
	_, _, audible := c.Asked.Reference.Wanted(c.Rules.Config)
	return min(max(1, study.Peak(audible)), alloc.MaxVoices-1)
}

// On says what is heard on so many voices, at least 1. Losses by themselves are not
// judged. Several goroutines may ask.
func (c *Curve) On(voices int) (Verdict, error) {
	if v, known := c.Known(voices); known {
		return v, nil
	}
	if err := c.spend(c.work(voices)); err != nil {
		return Verdict{}, err
	}
	h := c.ready.Get().(*hand)
	defer c.ready.Put(h)
	rules := study.Pooled(c.Rules, voices)
	if _, err := h.Score(rules); err != nil {
		return Verdict{}, err
	}
	v := h.verdict(h.whole(Played{Rules: rules, Outcomes: h.Outcomes(), Cuts: h.Cuts()}))
	c.mutex.Lock()
	defer c.mutex.Unlock()
	c.played[voices] = v
	return v, nil
}

// Each is On with the losses by themselves judged and counted.
func (c *Curve) Each(voices int) (Verdict, error) {
	h := c.ready.Get().(*hand)
	defer c.ready.Put(h)
	rules := study.Pooled(c.Rules, voices)
	if err := c.spend(study.RunWork(c.Performance, voices)); err != nil {
		return Verdict{}, err
	}
	if _, err := h.Score(rules); err != nil {
		return Verdict{}, err
	}
	played := Played{Rules: rules, Outcomes: h.Outcomes(), Cuts: h.Cuts()}
	if err := c.spend(c.Asked.EachWork(played)); err != nil {
		return Verdict{}, err
	}
	return Hear(c.Asked, played).Whole, nil
}

// whole judges the whole song, and nothing else.
func (l *listener) whole(p Played) Measure {
	l.gather(p)
	l.all = l.all[:0]
	l.pass()
	return l.judged()
}

// judged judges what was heard.
func (l *listener) judged() Measure {
	j := l.Model.Ear.judge(false)
	j.average(l.all)
	return j.Measure
}

// together is how many numbers of voices are listened to at once.
const together = 16

// To says what is heard on 1 to last voices. The song as asked is gone through once
// for some numbers together, as many such at once as there are processors. A budget
// is enough for all of them, or none is played.
func (c *Curve) To(ctx context.Context, last int) ([]Verdict, error) {
	all := study.Work(0)
	for n := 1; n <= last; n++ {
		all += c.work(n)
	}
	if err := c.spend(all); err != nil {
		return nil, err
	}
	list := make([]Verdict, last)
	groups := (last + together - 1) / together
	err := crew.Do(ctx, groups, func(context.Context) func(int) error {
		all := c.Asked.listeners(together)
		rehearsal := c.rehearsal()
		return func(group int) error {
			var voices []int // those far apart: they take different times
			for n := group + 1; n <= last; n += groups {
				voices = append(voices, n)
			}
			for i, n := range voices {
				rules := study.Pooled(c.Rules, n)
				if _, err := rehearsal.Score(rules); err != nil {
					return err
				}
				all[i].gather(Played{Rules: rules, Outcomes: rehearsal.Outcomes(), Cuts: rehearsal.Cuts()})
				all[i].all = all[i].all[:0]
			}
			listen(all[:len(voices)])
			for i, n := range voices {
				list[n-1] = c.Asked.verdict(all[i].judged())
			}
			return nil
		}
	})
	if err != nil {
		return nil, err
	}
	c.mutex.Lock()
	defer c.mutex.Unlock()
	for i, v := range list {
		c.played[i+1] = v
	}
	return list, nil
}

// listen lets some listen together, but for those to whom something sounds too long:
// their steps are others.
func listen(all []*listener) {
	var alike []*listener
	for _, l := range all {
		if len(l.changes) == 0 {
			alike = append(alike, l)
			continue
		}
		l.oddly = l.changes
		pass(l.stage, []*listener{l})
	}
	if len(alike) > 0 {
		alike[0].oddly = nil
		pass(alike[0].stage, alike)
	}
}

// Demand is how many voices a song wants by ear.
type Demand struct {
	None      int // nothing is heard to be missing
	PlainNone int // nothing is heard plainly to be missing
}

// Demand finds the fewest voices from which on nothing is heard, and nothing
// plainly, among numbers up to most, with which it starts: enough, such as the
// peak with tails. A number is found by halving, under which one more voice never
// is worse; rules can be worse, so it holds for the numbers next to it only. Where
// most is not enough either it is most + 1.
func (c *Curve) Demand(most int) (d Demand, err error) {
	ear := c.Model.Ear
	if d.None, err = c.from(most, ear.Faint); err != nil {
		return d, err
	}
	d.PlainNone, err = c.from(most, ear.Plain)
	return d, err
}

// Wants is Demand, or nil where the budget was not enough for it.
func (c *Curve) Wants(most int) (*Demand, error) {
	d, err := c.Demand(most)
	switch err {
	case nil:
		return &d, nil
	case ErrBudget:
		return nil, nil
	}
	return nil, err
}

// from returns the fewest voices on which, and on one more, all differences are
// below a level, while one voice less does not do.
func (c *Curve) from(most int, level float64) (int, error) {
	passes := func(n int) (bool, error) {
		v, err := c.On(n)
		return v.Worst < level, err
	}
	low := 0 // does not do
	for low < most {
		high := most + 1 // does, or is not known
		for high-low > 1 {
			n := low + (high-low)/2
			ok, err := passes(n)
			if err != nil {
				return 0, err
			}
			if ok {
				high = n
			} else {
				low = n
			}
		}
		if high > most {
			return high, nil
		}
		if ok, err := passes(high + 1); ok || err != nil {
			return high, err
		}
		low = high + 1
	}
	return most + 1, nil
}
