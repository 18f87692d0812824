package contract

import (
	"slices"

	"choirloft/alloc"
	"choirloft/alloc/study"
	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing/plan"
	"choirloft/routing/whatif"
)

// SizeInput is all that was worked out about the size that a song wants.
// What was not asked for is nil.
type SizeInput struct {
	Plan   *plan.Plan
	File   string
	Song   *midi.Song
	Sizing *study.Sizing
	Now    *study.Replay
	Fixes  *whatif.List
	Varied []whatif.Variation
	Drill  []whatif.Absence
	ByPart []*study.Sizing // by part
	Racks  []whatif.Rack
}

// NewSize returns the report of one song.
func NewSize(p *plan.Plan, r *SizeResult) *Size {
	return &Size{Version: Version, Rig: p.Rig.Name, Fingerprint: p.Rig.Fingerprint(), SizeResult: *r, Findings: newFindings(p.Findings)}
}

// NewSizeResult returns what was worked out about a song.
func NewSizeResult(in SizeInput) *SizeResult {
	b := &sizer{in: in, rig: in.Plan.Rig}
	s := in.Sizing
	out := &SizeResult{
		Song:   newSong(in.Song, in.File, len(s.Reference.Notes), seconds(s.Reference.End)),
		Voices: in.Now.Rig.Voices,
		Demand: Demand{s.Demand.Held, s.Demand.Pedal, s.Demand.Audible, in.Now.Rig.Voices},
		Enough: Enough(s.Demand), Unmapped: s.Reference.Unmapped,
		Rules: ownRules(in.Plan),
		Now:   cost(&in.Now.Rig.Tally.Score),
		Curve: b.curve(s),
	}
	for _, bank := range b.rig.Banks {
		out.bankSize = max(out.bankSize, bank.Size)
	}
	out.FromRules = b.fromRules()
	out.shown = shownRules(in.Plan, s.Rulesets)
	out.Short, out.ShortTails = b.short(out.Voices)
	out.Fixes, out.Worse = []Fix{}, []Fix{}
	if f := in.Fixes; f != nil {
		out.Fixes, out.Worse = b.fixes(f.Better), b.fixes(f.Worse)
		out.Tried, out.PairsTried, out.PairsAll = f.Tried, f.Pairs, f.OfPairs
	}
	out.Sensitivity, out.Drill = b.variations(), b.absences()
	out.ByPart, out.Racks = b.byPart(), b.racks()
	out.Summary = out.sizeSummary(label(b.rig))
	out.Advice = out.advice()
	return out
}

// sizer holds what a size is made from.
type sizer struct {
	in  SizeInput
	rig *profiles.Rig
}

func cost(s *study.Score) Cost {
	return Cost{Damaged: s.Damaged(), OverlapOnly: s.Endings[study.OverlapOnly], LostGateS: seconds(s.Lost),
		TailCuts: s.TailCuts(), LoudestCutDB: level(s.Loudest())}
}

// weighed is the cost of a run that weighed what it damaged.
func weighed(s *study.Score) Cost {
	c, loss := cost(s), s.Weight.Notes()
	c.AudibleLoss = &loss
	return c
}

// ownRules names the rules of the parts in words.
func ownRules(p *plan.Plan) string {
	if s, ok := p.Ruleset(); ok {
		return rulesetWords(s)
	}
	return "each part by its own rules"
}

func rulesetWords(s study.Ruleset) string {
	return rulesetPick(s) + ", " + s.Steal.String() + ", tails " + tailsName(s.TailsUnknown)
}

func rulesetPick(s study.Ruleset) string {
	return pickName(&alloc.Part{Pick: s.Pick, Second: s.Second})
}

func tailsName(unknown bool) string {
	if unknown {
		return "unknown"
	}
	return "known"
}

func (b *sizer) curve(s *study.Sizing) []SizePoint {
	points := make([]SizePoint, len(s.Points))
	for i := range s.Points {
		at := &s.Points[i]
		bound := s.Bounds.At(at.Voices)
		points[i] = SizePoint{
			LeastAudible: s.LeastWeight(at.Voices).Notes(),
			Voices:       at.Voices, UnavoidableS: seconds(bound.Unavoidable), FewestDamaged: bound.FewestDamaged,
			AboveHeld: s.Share(s.Held.Above(at.Voices)), AbovePedal: s.Share(s.Pedal.Above(at.Voices)),
			AboveAudible: s.Share(s.Audible.Above(at.Voices)), Own: weighed(&at.Own), Rules: make([]RulesCost, len(at.Scores)),
		}
		for j := range at.Scores {
			r := s.Rulesets[j]
			points[i].Rules[j] = RulesCost{rulesetPick(r), r.Steal.String(), tailsName(r.TailsUnknown), weighed(&at.Scores[j])}
		}
	}
	return points
}

func (b *sizer) fromRules() []RulesFrom {
	s := b.in.Sizing
	list := make([]RulesFrom, len(s.Rulesets))
	for j, r := range s.Rulesets {
		list[j] = RulesFrom{Pick: rulesetPick(r), Steal: r.Steal.String(), Tails: tailsName(r.TailsUnknown),
			Undamaged: from(s, func(at *study.SizePoint) bool { return at.Scores[j].Damaged() == 0 }),
			Untouched: from(s, func(at *study.SizePoint) bool { return at.Scores[j].Damaged() == 0 && at.Scores[j].TailCuts() == 0 })}
	}
	return list
}

func from(s *study.Sizing, passes func(*study.SizePoint) bool) *int {
	if n, ok := s.From(passes); ok {
		return &n
	}
	return nil
}

// mostShown is how many rulesets a page has room for beside the rig's own.
const mostShown = 2

// shownRules chooses what a page shows beside the rules of the rig: of the
// handful a plain box that cannot hear tails and what looks ahead, else the
// first that were asked for.
func shownRules(p *plan.Plan, rules []study.Ruleset) []int {
	var shown []int
	for _, want := range []study.Ruleset{
		{Pick: alloc.PickLowest, Steal: alloc.StealOldest, TailsUnknown: true},
		{Pick: alloc.PickLongestIdle, Steal: alloc.StealFewestCuts},
	} {
		if i := slices.Index(rules, want); i >= 0 {
			shown = append(shown, i)
		}
	}
	own, _ := p.Ruleset()
	for i := 0; i < len(rules) && len(shown) < mostShown; i++ {
		if !slices.Contains(shown, i) && rules[i] != own {
			shown = append(shown, i)
		}
	}
	return shown
}

// short lists where the voices in service are too few.
func (b *sizer) short(voices int) (list []Shortage, tails bool) {
	s := b.in.Sizing
	spans := s.Short(voices, false)
	if tails = len(spans) == 0; tails {
		spans = s.Short(voices, true)
	}
	list = make([]Shortage, len(spans))
	for i, span := range spans {
		list[i] = Shortage{AtS: seconds(span.Start), LastsS: seconds(span.Length()), Wanted: span.Wanted}
		if n := s.NoteAt(span.Start); n != nil {
			list[i].Bar = b.in.Song.Meter.Position(n.Tick).String()
		}
	}
	return list, tails && len(list) > 0
}

func (b *sizer) byPart() []PartSize {
	var list []PartSize
	for i, s := range b.in.ByPart {
		list = append(list, PartSize{Name: b.rig.Parts[i].Name, Notes: len(s.Reference.Notes), Enough: Enough(s.Demand), Curve: b.curve(s)})
	}
	return list
}
