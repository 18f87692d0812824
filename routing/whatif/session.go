package whatif

import (
	"context"
	"slices"
	"time"

	"choirloft/alloc"
	"choirloft/alloc/study"
	"choirloft/alloc/study/hearing"
	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing/plan"
)

// Session is a rig with the overrides of one run, and a song that it plays.
type Session struct {
	rig    *profiles.Rig
	base   plan.Overrides
	song   *midi.Song
	plan   *plan.Plan
	given  study.Performance
	ref    *study.Reference
	before *study.Replay
	asked  *plan.Given  // see Session.original
	runs   hearing.Runs // on numbers of voices by the rules of the plan

	nowCosts study.Work // see Session.countWork

	// Budget ends searches before all is tried; nil for none.
	Budget    *study.Budget
	listening *study.Budget // for the number of voices needed by ear
	// Covered says which searches it ended.
	Covered []Coverage
}

// UsualBudget is what searches have where nobody says.
const UsualBudget = 10 * time.Second

// Coverage is a search that the budget ended.
type Coverage struct {
	// voices, parts, variations, drill, racks, heard racks; weights (of notes, beside others)
	What      string
	Tried, Of int
}

// cover notes how far a search came, of one kind together.
func (s *Session) cover(what string, tried, of int) {
	if tried == of {
		return
	}
	i := slices.IndexFunc(s.Covered, func(c Coverage) bool { return c.What == what })
	if i < 0 {
		i, s.Covered = len(s.Covered), append(s.Covered, Coverage{What: what})
	}
	s.Covered[i].Tried += tried
	s.Covered[i].Of += of
}

// New plays the song as things are.
func New(rig *profiles.Rig, base plan.Overrides, song *midi.Song) (*Session, error) {
	p, err := plan.Draft(rig, base)
	if err != nil {
		return nil, err
	}
	s := &Session{rig: rig, base: base, song: song, plan: p, given: p.Performance(song)}
	s.ref = study.NewReference(p.Rules, s.given)
	s.before, err = study.PlayReference(p.Rules, s.given, s.ref)
	return s, err
}

// Limit gives the searches that follow a budget, out of which what was done before
// them is paid. The number of voices that the song needs by ear has one apart.
func (s *Session) Limit(d time.Duration) {
	s.Budget = study.NewBudget(d)
	s.Budget.Force(study.FirstWork(s.given))
	s.listening = study.NewBudget(min(d, plan.Listening))
}

// Before is the replay as things are.
func (s *Session) Before() *study.Replay { return s.before }

// Size is [study.Size] of the song as things are, at least up to the voices in
// service.
func (s *Session) Size(ctx context.Context, o study.SizingOptions) (*study.Sizing, error) {
	o.Voices, o.Own = max(o.Voices, s.before.Rig.Voices), s.runs.Keep
	return s.size(ctx, "voices", s.plan.Rules, o)
}

func (s *Session) size(ctx context.Context, what string, r study.Rules, o study.SizingOptions) (*study.Sizing, error) {
	o.Budget = s.Budget
	sizing, err := study.Size(ctx, r, s.given, o)
	if err == nil {
		s.cover(what, len(sizing.Points), sizing.Last)
		if !hearing.Weighs(sizing.Reference) {
			s.cover("weights", 0, len(sizing.Reference.Notes))
		}
	}
	return sizing, err
}

// SizePart is [study.Size] of one part by itself.
func (s *Session) SizePart(ctx context.Context, part int, o study.SizingOptions) (*study.Sizing, error) {
	rules := s.plan.Rules
	rules.Config.Parts = rules.Config.Parts[part : part+1]
	return s.size(ctx, "parts", rules, o)
}

// passes plays so many recordings of the song.
func (s *Session) passes(n int) ([]hearing.Run, error) {
	var runs []hearing.Run
	for _, pass := range study.InPasses(s.plan.Rules, s.given, s.ref, n) {
		_, run, err := rehearse(s.plan.Rules, pass, study.NewReference(s.plan.Rules, pass))
		if err != nil {
			return nil, err
		}
		run.Origin = s.plan.Origin
		runs = append(runs, run)
	}
	return runs, nil
}

// rehearse plays a song once.
func rehearse(r study.Rules, given study.Performance, ref *study.Reference) (study.Score, hearing.Run, error) {
	h := study.NewRehearsal(given, ref)
	h.KeepTime()
	score, err := h.Score(r)
	return score, hearing.Run{Rules: r, Reference: ref, Outcomes: h.Outcomes(), Cuts: h.Cuts()}, err
}

// Play plays the song with overrides on top of those of the session.
func (s *Session) Play(top plan.Overrides) (study.Score, error) {
	_, _, score, err := s.perform(top)
	return score, err
}

// perform is Play, with what was played.
func (s *Session) perform(top plan.Overrides) (p *plan.Plan, run hearing.Run, score study.Score, err error) {
	if p, err = plan.Draft(s.rig, s.base.With(top)); err != nil {
		return nil, run, score, err
	}
	given, ref := s.given, s.ref
	switch {
	case asksAnew(top) || !sameGates(p.Rules.Config.Parts, s.plan.Rules.Config.Parts):
		given = p.Performance(s.song)
		ref = study.NewReference(p.Rules, given)
	case !slices.Equal(p.Rules.Envelopes(), ref.Envelopes):
		ref = study.NewReference(p.Rules, given)
	}
	score, run, err = rehearse(p.Rules, given, ref)
	run.Origin = p.Origin
	return p, run, score, err
}

// sameGates tells whether parts have the keys that others have, no other split of them, and
// gates as long: voices with triggers and without may have come or gone.
func sameGates(a, b []alloc.Part) bool {
	return slices.EqualFunc(a, b, func(p, q alloc.Part) bool { return p.Keys == q.Keys && p.Pulse == q.Pulse })
}

// asksAnew tells whether overrides may change which gates the song opens, or how many
// voices they take, so that it needs a reference of its own.
func asksAnew(top plan.Overrides) bool {
	return top.EditsSong() || len(top.SameKey)+len(top.Mode)+len(top.Unison)+len(top.Transpose) > 0
}
