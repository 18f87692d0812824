package whatif

import (
	"slices"
	"time"

	"choirloft/alloc/study"
	"choirloft/alloc/study/hearing"
	"choirloft/routing/deal"
	"choirloft/routing/plan"
	"choirloft/routing/reach"
)

// Trial is what became of the song with overrides on top of those of the session.
type Trial struct {
	After   study.Score // beside the song as it was played, edits included
	Changed study.Score // beside the song as it is given; see hearing.Asked.Changed
	Late    time.Duration
	Moved   int // notes of parts that are transposed otherwise than by the rig as given
	NoJack  int // voices in service whose pitch or gate has no jack then
	// Heard is what is heard beside the song as given on the rig as given, without its
	// losses by themselves; zero where nobody listens: without notes, or voices in service.
	Heard    hearing.Verdict
	Listened bool
	Parts    []PartLoss // by part; nil of recordings, and where nobody listens
}

// PartLoss is what a part lost, beside the song as it is given.
type PartLoss struct {
	Notes int // cut short or dropped
	Lost  time.Duration
}

func (l *PartLoss) add(o *study.Outcome) {
	if o.Ending.Damaged() {
		l.Notes++
	}
	l.Lost += o.Lost
}

// Try plays the song and listens. Several goroutines may, once one has.
func (s *Session) Try(top plan.Overrides) (*Trial, error) {
	p, run, score, err := s.perform(top)
	if err != nil {
		return nil, err
	}
	t := &Trial{After: score, Changed: score, Late: late(run.Outcomes), Moved: s.moved(p, run.Reference), NoJack: len(p.WithoutJack())}
	if !s.listens() {
		return t, nil
	}
	return t, s.judge(t, run)
}

// late is by how much notes begin late, all together.
func late(outcomes []study.Outcome) (all time.Duration) {
	for i := range outcomes {
		all += outcomes[i].Late
	}
	return all
}

// moved counts the notes that a plan transposes otherwise than the rig as given.
func (s *Session) moved(p *plan.Plan, ref *study.Reference) (n int) {
	given, then := s.rig.Parts, p.Rules.Config.Parts
	for i := range ref.Notes {
		if part := ref.Notes[i].Part; given[p.Origin[part]].Transpose != then[part].Transpose {
			n++
		}
	}
	return n
}

// Reach is what the parts ask of their windows as things are.
func (s *Session) Reach() []reach.Range { return s.plan.Reach(s.song, s.before) }

// Mended is Reach with the key at 0 V that would mend what a part misses, tried.
func (s *Session) Mended() []reach.Range { return s.plan.Mended(s.song, s.before) }

// TryWork is what it takes to play the song once with overrides, and to listen.
func (s *Session) TryWork(top plan.Overrides) study.Work {
	return s.playWork(top) + s.listenWork(top)
}

// FixesWork is what looking for fixes is to have set aside: some hundred tries.
func (s *Session) FixesWork() study.Work { return 200 * s.TryWork(plan.Overrides{}) }

// Losses says what is heard of the song with overrides on top, or in so many recordings
// where that is more than 0, its losses counted; nil where nothing can be heard.
func (s *Session) Losses(top plan.Overrides, recordings int) (*Ear, error) {
	if !s.listens() {
		return nil, nil
	}
	if recordings > 0 {
		runs, err := s.passes(recordings)
		if err != nil {
			return nil, err
		}
		return s.ear(true, runs...)
	}
	_, run, _, err := s.perform(top)
	if err != nil {
		return nil, err
	}
	return s.ear(true, run)
}

// LossesWork is what Losses takes.
func (s *Session) LossesWork(top plan.Overrides) study.Work {
	return s.TryWork(top) + s.countWork()
}

// Plan is that of the rig as things are.
func (s *Session) Plan() *plan.Plan { return s.plan }

// Edits tells whether overrides change what is played.
func (s *Session) Edits(top plan.Overrides) bool {
	p, err := plan.Draft(s.rig, s.base.With(top))
	return err == nil && !slices.Equal(p.Performance(s.song).Steps, s.given.Steps)
}

// Recording splits the song into the fewest recordings that damage no note, if it is
// damaged as things are and there are no more of them than most: how many, and what they
// leave together. It is 0 where there are none, or the work is more than is left.
func (s *Session) Recording(most int, left *study.Work) (int, *Trial, error) {
	if s.before.Rig.Tally.Damaged() == 0 {
		return 0, nil, nil
	}
	if _, err := deal.Homes(s.plan); err != nil {
		return 0, nil, nil
	}
	fewest := study.PassBound(s.plan.Rules, s.ref)
	work := s.splitWork(fewest)
	if fewest > most || work > *left {
		return 0, nil, nil
	}
	*left -= work
	split, err := study.FewestPasses(s.plan.Rules, s.given, most)
	if err != nil || len(split.Passes) < 2 {
		return 0, nil, err
	}
	runs, err := s.passes(len(split.Passes))
	if err != nil {
		return 0, nil, err
	}
	t := &Trial{NoJack: len(s.plan.WithoutJack())}
	for i := range runs {
		score := study.ScoreOf(runs[i].Outcomes)
		t.After.Add(&score)
		t.Late += late(runs[i].Outcomes)
	}
	t.Changed = t.After
	if s.listens() {
		e, err := s.ear(false, runs...)
		if err != nil {
			return 0, nil, err
		}
		t.Heard, t.Listened = e.Verdict, true
	}
	return len(split.Passes), t, nil
}

// ByPart plays the song in recordings by part, with overrides on top, and says what they leave
// together. It is nil where parts of two recordings play the same notes.
func (s *Session) ByPart(top plan.Overrides, groups [][]int) (*Trial, error) {
	p, err := plan.Draft(s.rig, s.base.With(top))
	if err != nil || !s.listens() {
		return nil, err
	}
	passes, err := study.ByParts(p.Rules, p.Performance(s.song), groups)
	if err != nil {
		return nil, nil
	}
	var runs []hearing.Run
	t := &Trial{NoJack: len(p.WithoutJack())}
	for _, pass := range passes {
		score, run, err := rehearse(p.Rules, pass, study.NewReference(p.Rules, pass))
		if err != nil {
			return nil, err
		}
		t.After.Add(&score)
		t.Late += late(run.Outcomes)
		run.Origin = p.Origin
		runs = append(runs, run)
	}
	return t, s.judge(t, runs...)
}

// ByPartWork is what that takes.
func (s *Session) ByPartWork(top plan.Overrides, groups [][]int) study.Work {
	return study.Work(len(groups))*(s.playWork(top)+study.RunWork(s.given, 0)) + 2*s.listenWork(top)
}

// judge listens to runs that are played together, beside the song as given.
func (s *Session) judge(t *Trial, runs ...hearing.Run) error {
	given, err := s.original()
	if err != nil {
		return err
	}
	as, err := given.Match(runs...)
	if err != nil {
		return err
	}
	outcomes := given.Changed(as)
	t.Heard, t.Changed, t.Listened = hearing.Whole(given.Asked, as), study.ScoreOf(outcomes), true
	t.Parts = make([]PartLoss, len(s.rig.Parts))
	for i := range outcomes {
		t.Parts[given.Reference.Notes[i].Part].add(&outcomes[i])
	}
	return nil
}
