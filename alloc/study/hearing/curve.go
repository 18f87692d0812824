package hearing

import (
	"context"
	"runtime"
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
	Asked *Asked
	// Wholly lets the search for a demand listen to all of each run, not only until it
	// knows enough, so that what it tried is known.
	Wholly bool
	// Ended tells that nobody waits any more, which ends listening as if the budget had; nil
	// where somebody always does.
	Ended  func() bool
	ready  sync.Pool  // of hands
	mutex  sync.Mutex // of what follows and the budget
	played map[int]known
	least  map[int]float64 // dB, of numbers of voices of which no more is known
	runs   *Runs           // nil where none is kept
}

// known is what is known of a number of voices.
type known struct {
	Verdict
	runs []run // in which something is heard
}

// hand plays a song and listens.
type hand struct {
	*study.Rehearsal
	*listener
}

// NewCurve prepares a curve.
func NewCurve(s Song) (*Curve, error) {
	return newCurve(s, study.NewReference(study.PooledAsAsked(s.Rules), s.Performance))
}

func newCurve(s Song, ref *study.Reference) (*Curve, error) {
	a, err := NewAsked(s.Model, s.Rules.Config.Parts, ref)
	if err != nil {
		return nil, err
	}
	c := &Curve{Song: s, Asked: a, played: map[int]known{}, least: map[int]float64{}}
	c.ready.New = func() any {
		return &hand{c.rehearsal(), a.listeners(1)[0]}
	}
	return c, nil
}

func (c *Curve) rehearsal() *study.Rehearsal {
	r := study.NewRehearsal(c.Performance, c.Asked.Reference)
	r.KeepTime()
	return r
}

// Use takes runs from what was played before, and keeps there what is played else, for
// whoever asks later or with other sounds. They must be of the same song and rules.
func (c *Curve) Use(r *Runs) { c.runs = r }

// Known is what On would say, where it is known already.
func (c *Curve) Known(voices int) (Verdict, bool) {
	c.mutex.Lock()
	defer c.mutex.Unlock()
	v, ok := c.played[voices]
	return v.Verdict, ok
}

// work is what it takes to play and hear the song on so many voices.
func (c *Curve) work(voices int) study.Work {
	return study.RunWork(c.Performance, voices) + c.Asked.Work()
}

// spend takes work out of the budget.
func (c *Curve) spend(w study.Work) error {
	c.mutex.Lock()
	defer c.mutex.Unlock()
	if c.Ended != nil && c.Ended() || !c.Budget.Spend(w) {
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
	_, err := c.listen(voices, 0)
	v, _ := c.Known(voices)
	return v, err
}

// listen plays so many voices and notes what is heard, until a difference is reached or
// where that is 0 to the end. It returns the largest that is known.
func (c *Curve) listen(voices int, until float64) (float64, error) {
	if err := c.spend(c.work(voices)); err != nil {
		return 0, err
	}
	h := c.ready.Get().(*hand)
	defer c.ready.Put(h)
	p, err := c.play(h.Rehearsal, voices)
	if err != nil {
		return 0, err
	}
	h.gather(p)
	h.enough, h.ended = enough{level: until}, c.Ended
	h.pass()
	if c.Ended != nil && c.Ended() {
		return 0, ErrBudget
	}
	c.mutex.Lock()
	defer c.mutex.Unlock()
	if h.enough.reached {
		c.least[voices] = until
		return until, nil
	}
	k := h.known()
	c.played[voices] = k
	return k.Worst, nil
}

// play plays the song on so many voices.
func (c *Curve) play(r *study.Rehearsal, voices int) (Played, error) {
	rules := study.Pooled(c.Rules, voices)
	return c.runs.of(rules, voices, func() (Played, error) {
		_, err := r.Score(rules)
		return Played{Rules: rules, Outcomes: r.Outcomes(), Cuts: r.Cuts()}, err
	})
}

// Each is On with the losses by themselves judged and counted.
func (c *Curve) Each(voices int) (Verdict, error) {
	if _, err := c.On(voices); err != nil {
		return Verdict{}, err
	}
	c.mutex.Lock()
	k := c.played[voices]
	c.mutex.Unlock()
	h := c.ready.Get().(*hand)
	defer c.ready.Put(h)
	if err := c.spend(study.RunWork(c.Performance, voices)); err != nil {
		return Verdict{}, err
	}
	p, err := c.play(h.Rehearsal, voices)
	if err != nil {
		return Verdict{}, err
	}
	h.each = true
	defer func() { h.each = false }()
	h.gather(p)
	if err := c.spend(c.Asked.eachWork(h.listener)); err != nil {
		return Verdict{}, err
	}
	h.enough = enough{}
	h.judgeEach(k.runs)
	ear := c.Model.Ear
	for i := range h.losses {
		if worst := h.losses[i].heard.Worst; worst >= ear.Faint {
			if k.Losses++; worst >= ear.Plain {
				k.Plainly++
			}
		}
	}
	return k.Verdict, nil
}

// judged judges what was heard.
func (l *listener) judged() judge {
	if l.keeps {
		l.heard.average(l.all)
	} else {
		if l.sieve != nil {
			l.letGo(never)
		}
		l.soFar.finish()
	}
	return l.heard
}

// known is what was heard.
func (l *listener) known() known {
	j := l.judged()
	return known{l.verdict(j.Measure), j.runs}
}

// together is how many numbers of voices at most are listened to at once, and worthIt
// from how many on another processor goes through the song too.
const (
	together = 32
	worthIt  = 8
)

// To says what is heard on 1 to last voices. The song as asked is gone through once
// for some numbers together, as many such at once as there are processors. A budget
// is enough for all of them, or none is played. Where ctx ends it returns its error, and
// what was heard by then is known.
func (c *Curve) To(ctx context.Context, last int) ([]Verdict, error) {
	all := study.Work(0)
	for n := 1; n <= last; n++ {
		all += c.work(n)
	}
	if err := c.spend(all); err != nil {
		return nil, err
	}
	settled := last
	if n := study.Settled(c.Rules, c.Asked.Reference); n > 0 {
		settled = min(n, last)
	}
	groups := max(1, (settled+together-1)/together, min(runtime.GOMAXPROCS(0), settled/worthIt))
	err := crew.Do(ctx, groups, func(context.Context) func(int) error {
		all := c.Asked.listeners((settled + groups - 1) / groups)
		rehearsal := c.rehearsal()
		return func(group int) error {
			var voices []int // those far apart: they take different times
			for n := group + 1; n <= settled; n += groups {
				voices = append(voices, n)
			}
			for i, n := range voices {
				p, err := c.play(rehearsal, n)
				if err != nil {
					return err
				}
				all[i].gather(p)
			}
			listen(all[:len(voices)])
			c.mutex.Lock()
			defer c.mutex.Unlock()
			for i, n := range voices {
				c.played[n] = all[i].known()
			}
			return nil
		}
	})
	if err != nil {
		return nil, err
	}
	verdicts := make([]Verdict, last)
	for n := 1; n <= last; n++ {
		k := c.played[min(n, settled)]
		c.played[n], verdicts[n-1] = k, k.Verdict
	}
	return verdicts, nil
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
func (c *Curve) Demand(most int) (d Demand, err error) { return c.by(c.Model.Ear, most) }

// by is the demand by another ear.
func (c *Curve) by(ear Ear, most int) (d Demand, err error) {
	if d.None, err = c.from(most, ear.Faint, ear.Plain); err != nil {
		return d, err
	}
	d.PlainNone, err = c.from(most, ear.Plain, ear.Plain)
	return d, err
}

// Wants is Demand, or nil where the budget was not enough for it.
func (c *Curve) Wants(most int) (*Demand, error) { return c.wants(c.Model.Ear, most) }

func (c *Curve) wants(ear Ear, most int) (*Demand, error) {
	d, err := c.by(ear, most)
	switch err {
	case nil:
		return &d, nil
	case ErrBudget:
		return nil, nil
	}
	return nil, err
}

// from returns the fewest voices on which, and on one more, all differences are
// below a level, while one voice less does not do. It listens until a difference is
// reached of that, or of more if more will be asked.
func (c *Curve) from(most int, level, until float64) (int, error) {
	passes := func(n int) (bool, error) {
		worst, err := c.worst(n, until)
		return worst < level, err
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

// worst is the largest difference on so many voices, or another that is until at least.
func (c *Curve) worst(voices int, until float64) (float64, error) {
	c.mutex.Lock()
	k, known := c.played[voices]
	least := c.least[voices]
	c.mutex.Unlock()
	switch {
	case known:
		return k.Worst, nil
	case least >= until:
		return least, nil
	}
	if c.Wholly {
		until = 0
	}
	return c.listen(voices, until)
}
