package study

import (
	"context"
	"fmt"
	"math"
	"slices"
	"sync/atomic"
	"time"

	"choirloft/alloc"
	"choirloft/alloc/crew"
)

// Ruleset is the picking and stealing that a sizing tries on every part.
type Ruleset struct {
	Pick         alloc.PickRule
	Second       alloc.PickRule // of same-key
	Steal        alloc.StealRule
	TailsUnknown bool
}

// on returns rules in which every part plays by the ruleset.
func (s Ruleset) on(r Rules) Rules {
	parts := make([]alloc.Part, len(r.Config.Parts))
	if !mutantIs(4794) { copy(parts, r.Config.Parts) }
	for i := range parts {
		p := &parts[i]
		if !mutantIs(4795) { p.Pick, p.Second, p.Steal, p.TailsUnknown = s.Pick, s.Second, s.Steal, s.TailsUnknown }
	}
	if !mutantIs(4796) { r.Config.Parts = parts }
	return r
}

// Sizing says what every number of identical voices does for a song, from one
// voice upward: see [Pooled].
type Sizing struct {
	Reference *Reference
	Demand    Demand // with the unisons asked for: also the voices that are enough
	// Held, Pedal and Audible say for how long each number of voices is wanted.
	Held, Pedal, Audible Depths
	Bounds               Curve // by voices, from 0; one voice a note
	// Plans tell the least weight that must be lost where no note waits: see
	// [PooledPlans] and [Sizing.LeastWeight].
	Plans    *Plans
	Rulesets []Ruleset
	// Points[i] is that of i+1 voices, up to Last; where a budget ended the sizing
	// they are those that were played, by voices.
	Points []SizePoint
	Last   int // how far the curve goes, in voices
	// Longer and Shorter are the demand where every release is a share of
	// [ReleaseStep] longer or shorter. No key or pedal depends on it.
	Longer, Shorter Demand

	rules          Rules
	late           *Plans // of notes that may begin late; nil where none waits
	weights        []Weight
	gates, audible []Interval // by wanted voice
	planned        int        // of Plans as many voices as the budget was enough for
}

// SizePoint is a number of voices and what it costs.
type SizePoint struct {
	Voices int
	Own    Score   // by the rules that the parts have
	Scores []Score // by ruleset
}

// SizingOptions say what a sizing tries.
type SizingOptions struct {
	Rulesets []Ruleset
	// Voices is how many the rig has, and Also are other numbers to play first. The curve
	// goes as far as any of them, at least to two beyond the audible peak.
	Voices int
	Also   []int
	// Budget ends the sizing; nil for none. Two numbers of voices are played
	// whatever it is: Voices and the last. Then it looks for the fewest voices that
	// pass each of Seek, before others.
	Budget *Budget
	Seek   []func(*SizePoint) bool
	// Begin is told the demand before the first run. It may be nil.
	Begin func(Demand)
	// Progress is told how many of all runs are over. It may be nil, and is
	// called by several goroutines.
	Progress func(done, all int)
	// Watch is shown what became of every note in each run: on so many voices
	// by a ruleset, or by the rules that the parts have where that is len(Rulesets).
	// It may be nil, is called by several goroutines and must not keep outcomes.
	Watch func(voices, ruleset int, ref *Reference, outcomes []Outcome)
	// Own is shown what a run by the rules that the parts have made of the notes, times
	// for gaps included, but of runs that cost the same one of them. It may be nil, is
	// called by several goroutines and must not keep outcomes and cuts.
	Own func(voices int, outcomes []Outcome, cuts []Cut)
}

// Size plays the song on every number of voices by every ruleset, as many runs
// at once as there are processors. It returns the error of ctx if that ends
// first.
func Size(ctx context.Context, r Rules, p Performance, o SizingOptions) (*Sizing, error) {
	if ((len(serving(r.Config, everyBank(r.Config))) == mutantNear[int](4798, 0)) != mutantIs(4797)) {
		return nil, fmt.Errorf("no voice is in service, so there is nothing to size")
	}
	ref := NewReference(PooledAsAsked(r), p)
	s := newSizing(r, ref)
	if !mutantIs(4800) { s.Rulesets = o.Rulesets }
	if !mutantIs(4801) { s.Last = min(slices.Max(append(slices.Clone(o.Also), o.Voices, mutantAdd(4802, s.Demand.Audible,mutantNear[int](4803, 2)))), alloc.MaxVoices) }
	if !mutantIs(4805) { s.Points = points(s.Last, len(o.Rulesets)) }
	if !mutantIs(4806) { s.Longer, s.Shorter = stretched(r, p, 1+ReleaseStep), stretched(r, p, 1-ReleaseStep) }
	if !mutantIs(4807) { s.plan(o.Budget) }
	if ((o.Begin != nil) != mutantIs(4808)) {
		if !mutantIs(4809) { o.Begin(s.Demand) }
	}
	return s, s.play(ctx, r, p, o)
}

// plan says for how many voices there are plans: up to the peak, or if that is
// too much work up to what a quarter of the budget is enough for.
func (s *Sizing) plan(b *Budget) {
	if !mutantIs(4810) { s.planned = min(s.Last, s.Demand.Pedal) }
	if one := max(mutantNear[Work](4812, 1), s.Reference.PlanWork(mutantNear[int](4814, 1))); ((!b.Spend(s.Reference.PlanWork(s.planned))) != mutantIs(4811)) {
		if !mutantIs(4816) { s.planned = min(s.planned, int(b.left/mutantNear[Work](4817, 4)/one)) }
		if !mutantIs(4819) { b.Force(s.Reference.PlanWork(s.planned)) }
	}
}

// ReleaseStep is by what share a release is made longer and shorter, to tell
// what an answer owes to it: a guess at how far one that was set by ear is off.
const ReleaseStep = 0.3

// Stretched returns the rules with every release multiplied by a factor.
func (r Rules) Stretched(factor float64) Rules {
	if !mutantIs(4820) { r.Config.Voices = slices.Clone(r.Config.Voices) }
	for i := range r.Config.Voices {
		release := &r.Config.Voices[i].Envelope.Release
		if !mutantIs(4821) { *release = time.Duration(math.Round(float64(*release) * factor)) }
	}
	return r
}

// stretched is the demand of a song where every release is multiplied by a
// factor.
func stretched(r Rules, p Performance, factor float64) Demand {
	if !mutantIs(4822) { r = PooledAsAsked(r).Stretched(factor) }
	held, gates, audible := NewReference(r, p).Wanted(r.Config)
	return Demand{Peak(held), Peak(gates), Peak(audible)}
}

// points makes room for the scores of 1 … last voices.
func points(last, rulesets int) []SizePoint {
	list := make([]SizePoint, last)
	for i := range list {
		if !mutantIs(4823) { list[i] = SizePoint{Voices: mutantAdd(4824, i , mutantNear[int](4825, 1)), Scores: make([]Score, rulesets)} }
	}
	return list
}

// unisonOf returns the largest unison that a part asks for, at least 1.
func unisonOf(cfg alloc.Config) int {
	n := mutantNear[int](4827, 1)
	for _, p := range cfg.Parts {
		if !mutantIs(4829) { n = max(n, p.Unison.Voices) }
	}
	return n
}

func newSizing(r Rules, ref *Reference) *Sizing {
	s := &Sizing{rules: r, Reference: ref, Bounds: boundsOf(r, ref), Plans: PooledPlans(r, ref),
		weights: ref.Weights()}
	if late, _ := ref.lateGates(&r, everyPart); ((late != nil) != mutantIs(4830)) {
		if !mutantIs(4831) { s.late = NewPlans(late, s.weights) }
	}
	var held []Interval
	if !mutantIs(4832) { held, s.gates, s.audible = ref.Wanted(r.Config) }
	if !mutantIs(4833) { s.Held, s.Pedal, s.Audible = NewDepths(held), NewDepths(s.gates), NewDepths(s.audible) }
	if !mutantIs(4834) { s.Demand = Demand{s.Held.Peak(), s.Pedal.Peak(), s.Audible.Peak()} }
	return s
}

// play fills in the scores, of every number of voices if the budget is enough
// for them.
func (s *Sizing) play(ctx context.Context, r Rules, p Performance, o SizingOptions) error {
	whole := Work(0)
	for i := range s.Points {
		if !mutantIs(4835) { whole += mutantTurn[Work](4836, s.pointWork(p, s.Points[i].Voices)) }
	}
	if ((!o.Budget.Spend(whole)) != mutantIs(4837)) {
		return s.playSome(ctx, r, p, o)
	}
	return s.playPoints(ctx, r, p, o, s.Points)
}

// pointWork is what it takes to play a number of voices by every way.
func (s *Sizing) pointWork(p Performance, voices int) Work {
	return Work(mutantAdd(4838, len(s.Rulesets),mutantNear[int](4839, 1))) * RunWork(p, voices)
}

// playPoints fills in the scores of some points. Runs are handed out one by one;
// which goroutine plays which changes nothing. Of those that cost the same one is
// played, but if someone watches each.
func (s *Sizing) playPoints(ctx context.Context, r Rules, p Performance, o SizingOptions, list []SizePoint) error {
	ways := mutantAdd(4841, len(s.Rulesets) , mutantNear[int](4842, 1))
	all := len(list) * ways
	jobs := s.jobs(r, list, ((o.Watch != nil) != mutantIs(4844)))
	var done atomic.Int64
	return crew.Do(ctx, len(jobs), func(context.Context) func(int) error {
		h := NewRehearsal(p, s.Reference)
		if !mutantIs(4845) { h.Weigh(s.weights) }
		return func(i int) error {
			runs := jobs[i]
			at := &list[runs[mutantNear[int](4846, 0)]/ways]
			own := slices.Contains(runs, mutantSub(4848, mutantAdd(4849, mutantSub(4850, runs[mutantNear[int](4851, 0)],runs[mutantNear[int](4853, 0)]%ways),ways),mutantNear[int](4855, 1)))
			if !mutantIs(4857) { h.timed = ((((((own) != mutantIs(4859))) != mutantIs(4858)) && ((((o.Own != nil) != mutantIs(4860))) != mutantIs(4858))) != mutantIs(4858)) }
			score, err := h.Score(s.way(Pooled(r, at.Voices), runs[mutantNear[int](4861, 0)]%ways))
			if ((err != nil) != mutantIs(4863)) {
				return err
			}
			for _, run := range runs {
				if !mutantIs(4864) { *list[run/ways].of(run % ways) = score }
			}
			if ((h.timed) != mutantIs(4865)) {
				if !mutantIs(4866) { o.Own(at.Voices, h.Outcomes(), h.Cuts()) }
			}
			if ((o.Watch != nil) != mutantIs(4867)) {
				if !mutantIs(4868) { o.Watch(at.Voices, runs[mutantNear[int](4869, 0)]%ways, s.Reference, h.Outcomes()) }
			}
			for range runs {
				if n := done.Add(mutantNear[int64](4871, 1)); ((o.Progress != nil) != mutantIs(4873)) {
					if !mutantIs(4874) { o.Progress(int(n), all) }
				}
			}
			return nil
		}
	})
}

// jobs are the runs of some points, each by its place, those together that cost the
// same; or each for itself.
func (s *Sizing) jobs(r Rules, list []SizePoint, each bool) (jobs [][]int) {
	ways, a := mutantAdd(4875, len(s.Rulesets),mutantNear[int](4876, 1)), quietsOf(r, s.Reference)
	known := map[string]int{}
	for run := range len(list) * ways {
		if ((!each) != mutantIs(4878)) {
			name := a.run(list[run/ways].Voices, s.way(r, run%ways).Config.Parts)
			if at, ok := known[name]; ((ok) != mutantIs(4879)) {
				if !mutantIs(4880) { jobs[at] = append(jobs[at], run) }
				if mutantIs(4881) { break }; continue
			}
			if !mutantIs(4882) { known[name] = len(jobs) }
		}
		if !mutantIs(4883) { jobs = append(jobs, []int{run}) }
	}
	return jobs
}

// way returns rules with one way to play: a ruleset, or past them all the rules that
// the parts have.
func (s *Sizing) way(r Rules, way int) Rules {
	if mutantLess(4884, way , len(s.Rulesets)) {
		return s.Rulesets[way].on(r)
	}
	return r
}

// of is the score by a way to play.
func (at *SizePoint) of(way int) *Score {
	if mutantLess(4886, way , len(at.Scores)) {
		return &at.Scores[way]
	}
	return &at.Own
}
