package plan

import (
	"choirloft/alloc/study"
	"choirloft/alloc/study/hearing"
)

// Listened is what is heard of a song that was played. What the budget was not
// enough for is nil.
type Listened struct {
	Heard *hearing.Heard
	// Most is the number of voices up to which Demand was sought.
	Demand *hearing.Demand
	Most   int
}

// Listen says what is heard of a song that was played by the plan; nil where nothing
// can be: no note is asked for, or no voice is in service whose sound is known.
func (p *Plan) Listen(played *study.Replay, b *study.Budget) (*Listened, error) {
	if len(played.Reference.Notes) == 0 || p.InService() == 0 {
		return nil, nil
	}
	model, _ := p.Ear()
	asked, err := hearing.NewAsked(model, p.Rules.Config.Parts, played.Reference)
	if err != nil {
		return nil, err
	}
	l := &Listened{}
	if as := hearing.Of(p.Rules, played); b.Spend(asked.EachWork(as)) {
		l.Heard = hearing.Hear(asked, as)
	}
	c, err := hearing.NewCurve(hearing.Song{Model: model, Rules: p.Rules, Performance: played.Performance, Budget: b})
	if err != nil {
		return nil, err
	}
	l.Most = c.Most()
	l.Demand, err = c.Wants(l.Most)
	return l, err
}
