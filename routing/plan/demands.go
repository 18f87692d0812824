package plan

import (
	"context"
	"reflect"
	"slices"
	"sync"

	"choirloft/alloc/study"
	"choirloft/alloc/study/hearing"
)

// Demands remembers on how many voices nothing of a song is heard to be missing. That does not
// depend on how many there are, so who tries one number after the other waits for it once.
// The zero Demands knows none yet; several goroutines may use one.
type Demands struct {
	mu    sync.Mutex
	known []heardDemand // the last first
}

// mostDemands is how many are remembered at most, each with the steps of its song.
const mostDemands = 4

// heardDemand is a demand and all that it follows from.
type heardDemand struct {
	performance study.Performance
	rules       study.Rules
	model       hearing.Model
	most        int
	hearing.Demand
}

// find returns what a performance wants by the rules of a plan, and up to how many voices that
// is sought; nil where the budget is not enough.
func (d *Demands) find(ctx context.Context, p *Plan, given study.Performance, b *study.Budget) (*hearing.Demand, int, error) {
	model, _ := p.Ear()
	if found := d.recall(given, p.Rules, model); found != nil {
		return &found.Demand, found.most, nil
	}
	c, err := hearing.NewCurve(hearing.Song{Model: model, Rules: p.Rules, Performance: given, Budget: b})
	if err != nil {
		return nil, 0, err
	}
	c.Ended = func() bool { return ctx.Err() != nil }
	most := c.Most()
	demand, err := c.Wants(most)
	if ctx.Err() != nil {
		return nil, most, ctx.Err()
	}
	if demand != nil && err == nil {
		rules := p.Rules
		rules.Weigh = nil // it follows from the model
		d.keep(heardDemand{given, rules, model, most, *demand})
	}
	return demand, most, err
}

// recall returns a demand that follows from the same, or nil.
func (d *Demands) recall(given study.Performance, rules study.Rules, model hearing.Model) *heardDemand {
	if d == nil {
		return nil
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	i := slices.IndexFunc(d.known, func(k heardDemand) bool {
		return reflect.DeepEqual(k.model, model) && study.PooledAlike(k.rules, rules, k.most+1) &&
			k.performance.End == given.End && slices.Equal(k.performance.Steps, given.Steps)
	})
	if i < 0 {
		return nil
	}
	found := d.known[i]
	return &found
}

func (d *Demands) keep(found heardDemand) {
	if d == nil {
		return
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	d.known = slices.Insert(d.known, 0, found)
	d.known = d.known[:min(len(d.known), mostDemands)]
}
