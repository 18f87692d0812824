package plan

import (
	"context"
	"time"

	"choirloft/alloc/crew"
	"choirloft/alloc/study"
	"choirloft/alloc/study/hearing"
	"choirloft/midi"
)

// Listening is how long it may take to find on how many voices nothing is heard, apart
// from all other work: so every view of a song has the same number. See [study.Budget].
const Listening = 5 * time.Second

// Listened is what is heard of a song that was played. What the budget was not
// enough for is nil.
type Listened struct {
	Given *Given
	Heard *hearing.Heard
	// Most is the number of voices up to which Demand was sought.
	Demand *hearing.Demand
	Most   int
}

// Given is what a song asks for as it is given, on the rig as it is given: what is
// heard of a run is heard beside that.
type Given struct {
	*Plan // without overrides
	*hearing.Asked
}

// Given leaves the overrides of a plan out: with another release, unison or edit a song
// would else be heard beside itself. Where there are none, ref is the reference of the
// song by the plan. A dealt song has none but its own.
func (p *Plan) Given(song *midi.Song, ref *study.Reference) (*Given, error) {
	given := p
	if p.Unchanged != nil && !p.Overrides.IsZero() {
		var err error
		if given, err = Draft(p.Unchanged, Overrides{}); err != nil {
			return nil, err
		}
		ref = study.NewReference(given.Rules, given.Performance(song))
	}
	model, _ := given.Ear()
	asked, err := hearing.NewAsked(model, given.Rules.Config.Parts, ref)
	return &Given{given, asked}, err
}

// Listen says what is heard of a song that was played by the plan: its losses and what
// overrides make of it, beside the song as given; and on how many voices nothing
// would be, with these overrides. It is nil where nothing can be: no note is asked for,
// or no voice is in service whose sound is known. The number of voices
// has a budget apart, as large as that of the losses.
func (p *Plan) Listen(song *midi.Song, played *study.Replay, b *study.Budget) (*Listened, error) {
	return p.ListenWhile(context.Background(), nil, song, played, b)
}

// ListenWhile is Listen for as long as somebody waits for it: where ctx ends it returns its
// error. What it finds on how many voices nothing is heard goes into the demands, from which
// it is taken where it is there; nil for none.
func (p *Plan) ListenWhile(ctx context.Context, known *Demands, song *midi.Song, played *study.Replay, b *study.Budget) (*Listened, error) {
	apart := b.Another()
	given, as, err := p.beside(song, played)
	if given == nil || err != nil {
		return nil, err
	}
	l := &Listened{Given: given}
	hear := b.Spend(given.EachWork(as))
	err = crew.Do(ctx, 2, func(ctx context.Context) func(int) error {
		return func(job int) (err error) {
			switch {
			case job == 0:
				l.Demand, l.Most, err = known.find(ctx, p, played.Performance, apart)
			case hear:
				l.Heard, err = hearing.HearWhile(ctx, given.Asked, as)
			}
			return err
		}
	})
	return l, err
}

// Losses says what is heard of a song that was played by the plan, as [Plan.Listen] does,
// without how many voices it wants. It is nil too where the budget is not enough.
func (p *Plan) Losses(song *midi.Song, played *study.Replay, b *study.Budget) (*hearing.Heard, error) {
	given, as, err := p.beside(song, played)
	if given == nil || err != nil || !b.Spend(given.EachWork(as)) {
		return nil, err
	}
	return hearing.Hear(given.Asked, as), nil
}

// beside puts a song that was played by the plan beside the song as given; nil where
// nothing can be heard.
func (p *Plan) beside(song *midi.Song, played *study.Replay) (*Given, hearing.Played, error) {
	if len(played.Reference.Notes) == 0 || p.InService() == 0 {
		return nil, hearing.Played{}, nil
	}
	given, err := p.Given(song, played.Reference)
	if err != nil {
		return nil, hearing.Played{}, err
	}
	as, err := given.Match(hearing.Run{Rules: p.Rules, Reference: played.Reference, Outcomes: played.Outcomes, Cuts: played.Cuts, Origin: p.Origin})
	return given, as, err
}
