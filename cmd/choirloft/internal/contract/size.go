package contract

import (
	"slices"

	"choirloft/alloc"
	"choirloft/alloc/study"
	"choirloft/alloc/study/hearing"
	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing/advise"
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
	Fixes  *advise.Advice
	Varied []whatif.Variation
	Drill  []whatif.Absence
	ByPart []*study.Sizing // by part
	Racks  []whatif.Rack
	Heard  *whatif.Heard
	Prices *whatif.Prices
	// Covered are the searches that the budget ended.
	Covered []whatif.Coverage
}

// NewSize returns the report of one song.
func NewSize(p *plan.Plan, r *SizeResult) *Size {
	return &Size{Version: Version, Rig: p.Rig.Name, Fingerprint: p.Code(), SizeResult: *r, Findings: newFindings(p.Findings)}
}

// NewSizeResult returns what was worked out about a song.
func NewSizeResult(in SizeInput) *SizeResult {
	b := &sizer{in: in, rig: in.Plan.Rig}
	s := in.Sizing
	out := &SizeResult{
		Song:   newSong(in.Song, in.File, len(s.Reference.Notes), seconds(s.Reference.End)),
		Voices: in.Now.Rig.Voices,
		Demand: newDemand(s.Demand, in.Now.Rig.Voices),
		Enough: Enough(s.Demand), Unmapped: s.Reference.Unmapped,
		BankSize: largestBank(b.rig), OwnRules: ownRules(in.Plan), EnoughOwn: ownFrom(s.Harmless()), TooFew: s.TooFew(),
		Now:     cost(&in.Now.Rig.Tally.Score),
		MayUse:  b.mayUse(),
		MiddleC: int(in.Plan.Rig.MiddleC),
		Curve:   b.curve(s), FromRules: b.fromRules(), ShownRules: shownRules(in.Plan, s.Rulesets),
	}
	out.UnmappedFrom, out.UnmappedKeys = unmapped(in.Now.Performance.Steps, in.Plan.Rules.Config.Parts)
	now := newBuilder(in.Plan, in.Song, in.Now)
	out.WrongPitch, out.MonoChords, out.NoJack, out.RestsOn = wrongPitch(in.Plan, now.reach, in.Now), monoChords(in.Plan, in.Now), in.Plan.WithoutJack(), b.basis()
	out.RestsOn.spareKeys(now.reach)
	out.OldReadings, out.RunsOut = oldReadings(in.Plan), runsOut(now.parts(), out.Voices)
	if out.Voices > 0 {
		out.FewestDamaged = s.Bounds.At(out.Voices).FewestDamaged
	}
	b.short(out)
	out.Fixes, out.Worse = []Fix{}, []Fix{}
	if f := in.Fixes; f != nil {
		out.Fixes, out.Worse = b.fixes(f.Fixes, "better"), b.fixes(f.Worse, "worse")
		b.now(out, f.Ear)
		if f.Tried > 0 {
			out.Now.Missing, out.NowLeft = missing(f.Now.Faint, f.Now.Plain, f.Now.Heard), changed(&f.Now)
		}
		out.Tried, out.PairsTried, out.PairsAll = f.Tried, f.Pairs, f.OfPairs
		out.Settings = settings(f)
		out.Buying = b.buying(f.Bought)
	}
	out.Sensitivity, out.Drill = b.variations(), b.absences()
	out.ByPart, out.Apart = b.byPart()
	out.Racks = b.racks()
	out.Covered = []Coverage{}
	for _, c := range in.Covered {
		out.Covered = append(out.Covered, Coverage(c))
	}
	b.hear(out)
	return out
}

// hear adds what is heard on numbers of voices.
func (b *sizer) hear(out *SizeResult) {
	heard := b.in.Heard
	if heard == nil {
		return
	}
	out.Hearing, out.Demand.HeardDemand = newHearing(b.in.Plan), heardDemand(heard.Demand, heard.Most)
	if out.Now.Heard == nil {
		b.now(out, heard.Now)
	}
	for i := range out.Curve {
		at := &out.Curve[i]
		if v, counted := heard.Counted[at.Voices]; counted {
			figures := heardFigures(&v, true)
			at.Heard = &figures
		} else if v, ok := heard.Points[at.Voices]; ok {
			figures := heardFigures(&v, false)
			at.Heard = &figures
		}
	}
	out.Hearing.Variations = []HearingVariation{}
	for _, v := range heard.Varied {
		out.Hearing.Variations = append(out.Hearing.Variations, HearingVariation{v.Name, *heardDemand(&v.Demand, v.Most)})
	}
	out.Hearing.Interrupted = heard.Interrupted
	for _, c := range heard.Covered {
		out.Hearing.Covered = append(out.Hearing.Covered, Coverage(c))
	}
}

// now adds what is heard of the rig as it is; nothing where nobody listened.
func (b *sizer) now(out *SizeResult, e *whatif.Ear) {
	left := out.Now.Missing
	out.Now = heardCost(&b.in.Now.Rig.Tally.Score, e)
	if out.Now.Missing = left; e != nil {
		figures := heardFigures(&e.Verdict, e.Counted)
		out.NowHeard = &figures
	}
}

// mayUse lists what each part may use.
func (b *sizer) mayUse() []PartVoices {
	parts := make([]PartVoices, len(b.in.Now.Parts))
	for i := range parts {
		c := &b.in.Plan.Rules.Config.Parts[i]
		parts[i] = PartVoices{PartBanks{Part: c.Name, Banks: bankNames(b.rig, c.Banks)}, b.in.Now.Parts[i].Voices}
	}
	return parts
}

// sizer holds what a size is made from.
type sizer struct {
	in  SizeInput
	rig *profiles.Rig
}

func cost(s *study.Score) Cost {
	return Cost{Damaged: s.Damaged(), Dropped: s.Endings[study.Dropped], OverlapOnly: s.Endings[study.OverlapOnly], LostGateS: seconds(s.Lost),
		TailCuts: s.TailCuts(), LoudestCutDB: level(s.Loudest())}
}

// weighed is the cost of a run that weighed what it damaged.
func weighed(s *study.Score) Cost {
	c, loss := cost(s), loud(s.Weight)
	c.AudibleLoss = &loss
	return c
}

// loud is a weight in dB·s.
func loud(w study.Weight) float64 { return float64(w) / float64(hearing.WeightUnit) }

func largestBank(rig *profiles.Rig) int {
	most := 0
	for i := range rig.Banks {
		most = max(most, rig.Banks[i].Size)
	}
	return most
}

// ownRules names the rules of the parts; nil where they differ.
func ownRules(p *plan.Plan) *RulesName {
	s, ok := p.Ruleset()
	if !ok {
		return nil
	}
	r := rulesName(s)
	return &r
}

func rulesName(s study.Ruleset) RulesName {
	return RulesName{rulesetPick(s), s.Steal.String(), tailsName(s.TailsUnknown)}
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
			Voices: at.Voices, UnavoidableS: seconds(bound.Unavoidable), FewestDamaged: bound.FewestDamaged,
			AboveHeld: s.Share(s.Held.Above(at.Voices)), AbovePedal: s.Share(s.Pedal.Above(at.Voices)),
			AboveAudible: s.Share(s.Audible.Above(at.Voices)), Own: weighed(&at.Own), Rules: make([]RulesCost, len(at.Scores)),
		}
		if w, ok := s.LeastWeight(at.Voices); ok {
			least := loud(w)
			points[i].LeastAudible = &least
		}
		for j := range at.Scores {
			points[i].Rules[j] = RulesCost{rulesName(s.Rulesets[j]), weighed(&at.Scores[j])}
		}
	}
	return points
}

func (b *sizer) fromRules() []RulesFrom {
	s := b.in.Sizing
	list := make([]RulesFrom, len(s.Rulesets))
	for j, r := range s.Rulesets {
		list[j] = RulesFrom{RulesName: rulesName(r),
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

func ownFrom(h study.Harmless) OwnFrom {
	number := func(n int) *int {
		if n == 0 {
			return nil
		}
		return &n
	}
	return OwnFrom{number(h.Undamaged), number(h.Quiet), study.Faint, level(h.Loudest), number(h.Untouched)}
}

// mostShown is how many rulesets a page has room for beside the rig's own.
const mostShown = 2

// shownRules chooses what a page shows beside the rules of the rig: of the
// handful a plain box that cannot hear tails and what looks ahead, else the
// first that were asked for.
func shownRules(p *plan.Plan, rules []study.Ruleset) []int {
	shown := []int{}
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
func (b *sizer) short(out *SizeResult) {
	s := b.in.Sizing
	spans := s.Short(out.Voices, false)
	if len(spans) == 0 {
		spans = s.Short(out.Voices, true)
		out.ShortTails = len(spans) > 0
	}
	out.Short, out.ShortBars = make([]Shortage, len(spans)), []ShortBar{}
	for i, span := range spans {
		out.Short[i] = Shortage{AtS: seconds(span.Start), LastsS: seconds(span.Length()), Wanted: span.Wanted}
		if n := s.NoteAt(span.Start); n != nil {
			at := b.in.Song.Meter.Position(n.Tick)
			out.Short[i].Bar = at.String()
			out.shortIn(at.Bar, span.Wanted)
		}
	}
}

// shortIn notes that a bar wants so many voices. Bars come in order.
func (s *SizeResult) shortIn(bar, wanted int) {
	if n := len(s.ShortBars); n > 0 && s.ShortBars[n-1].Bar == bar {
		s.ShortBars[n-1].Wanted = max(s.ShortBars[n-1].Wanted, wanted)
		return
	}
	s.ShortBars = append(s.ShortBars, ShortBar{bar, wanted})
}

// byPart sizes the parts, each by itself and all apart.
func (b *sizer) byPart() (list []PartSize, apart *Enough) {
	for i, s := range b.in.ByPart {
		if apart == nil {
			apart = &Enough{}
		}
		e := Enough(s.Demand)
		apart.Held, apart.Pedal, apart.Audible = apart.Held+e.Held, apart.Pedal+e.Pedal, apart.Audible+e.Audible
		list = append(list, b.ofPart(i, s))
	}
	return list, apart
}

func (b *sizer) ofPart(i int, s *study.Sizing) PartSize {
	return PartSize{Name: b.rig.Parts[i].Name, Notes: len(s.Reference.Notes), Enough: Enough(s.Demand), Curve: b.curve(s)}
}

// NewPartSize is what was worked out about a part by itself.
func NewPartSize(in SizeInput, part int, s *study.Sizing) PartSize {
	return (&sizer{in: in, rig: in.Plan.Rig}).ofPart(part, s)
}

// Shown returns the costs of a row of the curve by the rig's own rules, and by
// those of ShownRules.
func (s *SizeResult) Shown(p *SizePoint) []*Cost {
	costs := []*Cost{&p.Own}
	for _, i := range s.ShownRules {
		costs = append(costs, &p.Rules[i].Cost)
	}
	return costs
}
