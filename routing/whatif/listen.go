package whatif

import (
	"context"
	"errors"
	"time"

	"choirloft/alloc/study"
	"choirloft/alloc/study/hearing"
)

// Heard is what is heard of the song on numbers of identical voices, by the rules of
// the parts. What the budget was not enough for is not there.
type Heard struct {
	Now    *Ear            // of the song as things are, with its losses by themselves
	Demand *hearing.Demand // of the song; nil where it was not found
	Most   int             // voices, up to which it was sought
	// Points are what is heard on numbers of voices, without the losses by themselves;
	// Counted those of them in which these were counted.
	Points, Counted map[int]hearing.Verdict
	Varied          []hearing.Variation
	Covered         []Coverage // demand, curve, losses, variations
	// Interrupted tells that ctx ended before all was heard.
	Interrupted bool
}

// inHaste is how long the demand is sought at most when the search was interrupted, of
// the budget that it has apart: whoever waits wants an answer, and soon.
const inHaste = time.Second

// Listen says what is heard of the song on the numbers of voices that were sized. It
// takes what the other searches left of the budget, but for the demand and the song as
// things are, which have one apart: first the numbers of voices, among
// which the demand is found, or where it is not enough for all the demand alone; then
// the variations, and the losses. Where ctx ends it keeps what there
// is by then, and still looks for the demand for a moment. It is nil where the song asks
// for no note.
func (s *Session) Listen(ctx context.Context, sized *study.Sizing) (*Heard, error) {
	if len(sized.Reference.Notes) == 0 {
		return nil, nil
	}
	budget := s.Budget
	if ctx.Err() != nil {
		budget = study.NewBudget(0)
	}
	model, _ := s.plan.Ear()
	c, err := hearing.NewCurve(hearing.Song{Model: model, Rules: s.plan.Rules, Performance: s.given, Budget: budget})
	if err != nil {
		return nil, err
	}
	c.Use(&s.runs)
	apart := s.listening.Another()
	h := &Heard{Most: c.Most(), Points: map[int]hearing.Verdict{}, Counted: map[int]hearing.Verdict{}}
	if err = h.curve(ctx, c, sized, s.listening); err != nil {
		return nil, err
	}
	if work := s.nowWork(); s.listens() && ctx.Err() == nil && (budget.Spend(work) || apart.Spend(work)) {
		if h.Now, err = s.heardNow(true); err != nil {
			return nil, err
		}
	}
	if err = h.vary(ctx, c); err != nil {
		return nil, err
	}
	err = h.count(ctx, c, sized)
	h.Interrupted = ctx.Err() != nil
	return h, err
}

// cover notes how far a search came, if not to its end.
func (h *Heard) cover(what string, done ...bool) {
	tried := 0
	for _, ok := range done {
		if ok {
			tried++
		}
	}
	if tried < len(done) {
		h.Covered = append(h.Covered, Coverage{what, tried, len(done)})
	}
}

// curve listens to every number of voices, or if the budget is not enough keeps
// those that the demand needed, which has a budget apart.
func (h *Heard) curve(ctx context.Context, c *hearing.Curve, sized *study.Sizing, apart *study.Budget) error {
	_, err := c.To(ctx, sized.Last)
	switch {
	case ctx.Err() != nil:
		c.Budget = study.NewBudget(0)
	case errors.Is(err, hearing.ErrBudget):
		c.Wholly = true
	case err != nil:
		return err
	}
	rest := c.Budget
	if c.Budget = apart; ctx.Err() != nil {
		c.Budget = study.NewBudget(inHaste)
	}
	if h.Demand, err = c.Wants(h.Most); err != nil {
		return err
	}
	c.Budget = rest
	h.cover("demand", h.Demand != nil)
	var done []bool
	for i := range sized.Points {
		v, known := c.Known(sized.Points[i].Voices)
		if done = append(done, known); known {
			h.Points[sized.Points[i].Voices] = v
		}
	}
	h.cover("curve", done...)
	return nil
}

func (h *Heard) vary(ctx context.Context, c *hearing.Curve) error {
	list, of, err := c.Vary(ctx, h.Most)
	if err != nil {
		return err
	}
	h.Varied = list
	done := make([]bool, of)
	for i := range list {
		done[i] = true
	}
	h.cover("variations", done...)
	return nil
}

// count counts the losses that are heard, on the most voices first: they have the
// fewest. Where nothing differs there are none.
func (h *Heard) count(ctx context.Context, c *hearing.Curve, sized *study.Sizing) error {
	done, short := make([]bool, len(sized.Points)), false
	for i := len(sized.Points) - 1; i >= 0; i-- {
		voices := sized.Points[i].Voices
		v, known := h.Points[voices]
		if !known || short || ctx.Err() != nil {
			continue
		}
		if v.Worst > 0 {
			counted, err := c.Each(voices)
			if short = errors.Is(err, hearing.ErrBudget); short {
				continue
			}
			if err != nil {
				return err
			}
			v = counted
		}
		h.Counted[voices], done[i] = v, true
	}
	h.cover("losses", done...)
	return nil
}
