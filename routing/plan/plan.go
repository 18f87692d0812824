// Package plan makes of a rig what the rest of the program works with. It is
// the only place where a rig, with the overrides of one run, becomes the
// configuration of an engine.
//
// Most users need two calls: [Build], and [Plan.Replay] for each song. A plan
// is not changed by what is done with it and may be used by several goroutines
// at once.
//
// What stays: the names of overrides and what they mean, see [Overrides.Flags],
// and that the [Plan.Code] of a plan without overrides is its rig's fingerprint.
package plan

import (
	"choirloft/alloc"
	"choirloft/alloc/study"
	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing"
	"choirloft/routing/levels"
	"choirloft/routing/purchase"
	"choirloft/routing/rack"
)

// Plan is a rig, made ready to be played, and what there is to say about it.
type Plan struct {
	Rig *profiles.Rig
	// Unchanged is the rig as it was read, without overrides.
	Unchanged *profiles.Rig
	Map       *routing.Map // which jack and channel drives which voice
	Rack      *rack.Sheet  // what stands where and draws what; nil in a draft
	// Levels is the way of the sound with all voices in service; nil in a draft.
	Levels *levels.Ladder
	// Rules hold the engine's configuration: voices and parts stand there as
	// they do in the rig, with the overrides applied.
	Rules    study.Rules
	Edits    []study.Edit      // of what each part is given to play, before keys are split over banks
	Findings []routing.Finding // sorted
	// Overrides are those that the plan was built with.
	Overrides Overrides
	Bought    *purchase.Purchase // nil where nothing is
	// Origin is by part that of Unchanged which it is, or of which it has some keys.
	Origin []int

	base  string       // the code of what is overridden
	whole []alloc.Part // before keys are split over banks; nil where none are
}

// Build makes the plan of a rig. The error is an *[OverrideError].
func Build(rig *profiles.Rig, o Overrides) (*Plan, error) {
	p, err := Draft(rig, o)
	if err != nil {
		return nil, err
	}
	p.Map.Survey()
	p.Rack, p.Levels = rack.New(p.Rig), p.ladder(p.inService())
	p.Findings = p.find()
	return p, nil
}

// Draft is [Build] without the findings: for whoever tries many plans. The
// error is an *[OverrideError].
func Draft(rig *profiles.Rig, o Overrides) (*Plan, error) {
	unchanged := rig
	rig, bought, err := o.rig(unchanged)
	if err != nil {
		return nil, err
	}
	m := routing.Lay(rig)
	p := &Plan{Rig: rig, Unchanged: unchanged, Map: m, base: unchanged.Fingerprint(), Overrides: o, Bought: bought, Rules: study.Rules{
		Config:  config(m),
		Gap:     rig.Timing.Gap,
		Lead:    rig.Timing.Lead,
		Overlap: rig.Timing.Overlap,
		LimitDB: float64(rig.Audible.Limit),
	}}
	p.Rules.Weigh = p.weigh
	if err := o.apply(&p.Rules.Config); err != nil {
		return nil, err
	}
	p.pulse()
	if p.Edits, err = o.edits(&p.Rules.Config); err != nil {
		return nil, err
	}
	if err := o.split(p); err != nil {
		return nil, err
	}
	p.pulse()
	return p, nil
}

// Replay plays a song through the plan as it would go live.
func (p *Plan) Replay(song *midi.Song) (*study.Replay, error) {
	return study.Play(p.Rules, p.Performance(song))
}

// Lanes plays a song as [Plan.Replay] does, and says besides what each voice
// plays when.
func (p *Plan) Lanes(song *midi.Song) (*study.Replay, []study.Span, error) {
	given := p.Performance(song)
	return study.PlayLanes(p.Rules, given, study.NewReference(p.Rules, given))
}

// InService counts the voices that play, with the overrides applied.
func (p *Plan) InService() int {
	n := 0
	for _, v := range p.Rules.Config.Voices {
		if v.State.InService() {
			n++
		}
	}
	return n
}

// WithoutJack names the voices in service whose pitch or gate has no jack. A rig
// without interfaces has no jacks to want.
func (p *Plan) WithoutJack() []string {
	names := []string{}
	if len(p.Rig.Interfaces) == 0 {
		return names
	}
	missing := map[int]bool{}
	for _, l := range p.Map.Missing {
		if l.Voice >= 0 && (l.Input == "pitch" || l.Input == "gate") {
			missing[l.Voice] = true
		}
	}
	for i, v := range p.Rules.Config.Voices {
		if missing[i] && v.State.InService() {
			names = append(names, p.Rig.Voices[i].Name)
		}
	}
	return names
}
