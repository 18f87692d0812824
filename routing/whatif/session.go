package whatif

import (
	"cmp"
	"context"
	"slices"
	"sync/atomic"
	"time"

	"choirloft/alloc/crew"
	"choirloft/alloc/study"
	"choirloft/alloc/study/hearing"
	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing/deal"
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
	all    []Fix        // see candidates; nil until they are listed
	asked  *plan.Given  // see Session.original
	runs   hearing.Runs // on numbers of voices by the rules of the plan

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
	// voices, parts, fixes, recordings, pairs, variations, drill, racks; of fixes also
	// heard (as a whole) and heard losses (each by itself); heard racks; weights (of notes, beside others)
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

// List is what was tried.
type List struct {
	Before study.Score
	Heard  *Ear  // before; nil where the budget was not enough to listen to the fixes
	Better []Fix // by rank, one of a family
	Worse  []Fix // the worst of each family of which nothing helps, by score
	Tried  int
	Of     int // to try, had the budget been enough
	// Pairs were tried out of so many; see [Session.Pairs].
	Pairs, OfPairs int
}

// List tries every remedy there is for the song, or where the budget is not
// enough for them the most promising. It returns the error of ctx if that ends
// first.
func (s *Session) List(ctx context.Context, progress func(done, all int)) (*List, error) {
	l := &List{Before: s.before.Rig.Tally.Score}
	if saves(&l.Before) == 2 {
		return l, nil
	}
	fixes := slices.Clone(s.candidates())
	l.Of = len(fixes)
	fixes, hear := s.afford(fixes)
	l.Tried = len(fixes)
	if hear {
		heard, err := s.heardNow(false)
		if err != nil {
			return nil, err
		}
		l.Heard = heard
	}
	done, err := s.try(ctx, fixes, hear, progress)
	if err != nil {
		return nil, err
	}
	recorded, err := s.recorded(hear)
	if err != nil {
		return nil, err
	}
	l.sort(append(done, recorded...))
	if err := s.count(ctx, l); err != nil {
		return nil, err
	}
	l.settle()
	return l, nil
}

// afford takes as many fixes as the budget is enough for, the most promising; hear
// tells whether it is enough to listen to each, which it is to all or none.
func (s *Session) afford(fixes []Fix) (some []Fix, hear bool) {
	play, listen := s.playWork(fixes), s.listenWork(fixes)
	if s.Budget.Spend(play + listen) {
		return fixes, listen > 0
	}
	if !s.Budget.Spend(play) {
		slices.SortStableFunc(fixes, s.promising)
		fixes = s.affordable("fixes", fixes)
	}
	if listen > 0 {
		s.cover("heard", 0, len(fixes))
	}
	return fixes, false
}

// try plays the song with each of the remedies and returns those that could be
// played: a remedy that the rig cannot follow is none.
func (s *Session) try(ctx context.Context, fixes []Fix, hear bool, progress func(done, all int)) ([]Fix, error) {
	played := make([]bool, len(fixes))
	var done atomic.Int64
	err := crew.Do(ctx, len(fixes), func(context.Context) func(int) error {
		return func(i int) (err error) {
			p, run, score, unplayed := s.perform(fixes[i].Overrides)
			if played[i] = unplayed == nil; played[i] {
				fixes[i].After, fixes[i].NoJack = score, len(p.WithoutJack())
				if hear {
					fixes[i].Heard, err = s.ear(false, run)
				}
			}
			if n := done.Add(1); progress != nil {
				progress(int(n), len(fixes))
			}
			return err
		}
	})
	kept := fixes[:0]
	for i := range fixes {
		if played[i] {
			kept = append(kept, fixes[i])
		}
	}
	return kept, err
}

// recorded splits the song into the fewest recordings that damage no note, if
// it is damaged as things are and there are no more of them than anybody makes.
// What they cost is that of all together. A rig whose voices nothing can be dealt
// to is offered none.
func (s *Session) recorded(hear bool) ([]Fix, error) {
	if s.before.Rig.Tally.Damaged() == 0 {
		return nil, nil
	}
	if _, err := deal.Homes(s.plan); err != nil {
		return nil, nil
	}
	fewest := study.PassBound(s.plan.Rules, s.ref)
	if fewest > study.MostPasses {
		return nil, nil
	}
	if !s.Budget.Spend(s.splitWork(fewest)) {
		s.cover("recordings", 0, 1)
		return nil, nil
	}
	split, err := study.FewestPasses(s.plan.Rules, s.given, study.MostPasses)
	if err != nil || len(split.Passes) < 2 {
		return nil, err
	}
	f := Fix{NoJack: len(s.plan.WithoutJack()), Kinds: []Kind{Passes}, Each: make([]plan.Overrides, 1), Part: wholeRig, Cost: Recording, Passes: len(split.Passes), family: passesFamily, order: passesFamily}
	runs, err := s.passes(f.Passes)
	if err != nil {
		return nil, err
	}
	for i := range runs {
		score := study.ScoreOf(runs[i].Outcomes)
		f.After.Add(&score)
	}
	if hear {
		f.Heard, err = s.ear(false, runs...)
	}
	return []Fix{f}, err
}

// passes plays so many recordings of the song.
func (s *Session) passes(n int) ([]hearing.Run, error) {
	var runs []hearing.Run
	for _, pass := range study.InPasses(s.plan.Rules, s.given, s.ref, n) {
		_, run, err := rehearse(s.plan.Rules, pass, study.NewReference(s.plan.Rules, pass))
		if err != nil {
			return nil, err
		}
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

// passesFamily is the family of recordings, apart from all others.
const passesFamily = 1 << 30

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
	case top.EditsSong() || len(top.SameKey)+len(top.Mode)+len(top.Unison) > 0:
		given = p.Performance(s.song)
		ref = study.NewReference(p.Rules, given)
	case !slices.Equal(p.Rules.Envelopes(), ref.Envelopes):
		ref = study.NewReference(p.Rules, given)
	}
	score, run, err = rehearse(p.Rules, given, ref)
	return p, run, score, err
}

// sort keeps of each family the mildest fix that helps as much as any, or the
// worst if none helps.
func (l *List) sort(tried []Fix) {
	families := map[int][]Fix{}
	for _, f := range tried {
		families[f.family] = append(families[f.family], f)
	}
	for _, family := range families {
		if best, ok := l.mildest(family); ok {
			l.Better = append(l.Better, best)
			continue
		}
		worst := slices.MaxFunc(family, func(a, b Fix) int { return l.compare(&a, &b) })
		if l.Verdict(&worst) == Worse {
			l.Worse = append(l.Worse, worst)
		}
	}
	l.order()
	l.Better = slices.CompactFunc(l.Better, func(a, b Fix) bool { return slices.Equal(a.Flags(), b.Flags()) })
}

// order puts both lists in order.
func (l *List) order() {
	slices.SortFunc(l.Better, func(a, b Fix) int { return l.rank(&a, &b) })
	slices.SortFunc(l.Worse, func(a, b Fix) int { return cmp.Or(l.compare(&b, &a), a.order-b.order) })
}

// settle goes by the losses that were counted: a fix that leaves a missing start is
// heard more than its sum says.
func (l *List) settle() {
	l.Better = slices.DeleteFunc(l.Better, func(f Fix) bool { return l.Verdict(&f) != Better })
	l.Worse = slices.DeleteFunc(l.Worse, func(f Fix) bool { return l.Verdict(&f) != Worse })
	l.order()
}

// mildest returns the first fix of a family, which stands in the order of what
// it changes, that helps as much as the best; ok is false where none helps.
func (l *List) mildest(family []Fix) (best Fix, ok bool) {
	family = slices.DeleteFunc(slices.Clone(family), func(f Fix) bool { return l.Verdict(&f) != Better })
	if len(family) == 0 {
		return best, false
	}
	best = slices.MinFunc(family, func(a, b Fix) int { return l.compare(&a, &b) })
	for _, f := range family {
		if l.asMuch(&f, &best) {
			return f, true
		}
	}
	return best, true
}

// asMuch tells whether a fix helps as much as the best of its family: by ear where
// that is known and anything is heard now, else by the notes and tails that it saves.
func (l *List) asMuch(f, best *Fix) bool {
	if !l.byEar() || f.Heard == nil || best.Heard == nil {
		return f.After.Hurt() == best.After.Hurt() && (f.notesOnly || f.After.TailCuts() == best.After.TailCuts())
	}
	enough := best.Heard.silence()
	if f.notesOnly { // without a plain loss
		enough = min(enough, 1)
	}
	return f.Heard.silence() >= enough && (enough > 0 || f.Heard.compare(best.Heard) == 0)
}
