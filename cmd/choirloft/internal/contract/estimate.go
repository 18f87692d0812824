package contract

import (
	"slices"

	"choirloft/alloc"
	"choirloft/alloc/study/estimate"
	"choirloft/routing/plan"
)

// NewEstimate returns the report of an estimate.
func NewEstimate(p *plan.Plan, e *estimate.Estimate, voices int) *Estimate {
	m := e.Model
	out := &Estimate{
		Version: Version, Rig: p.Rig.Name, Fingerprint: p.Code(), Voices: voices, BankSize: largestBank(p.Rig), OwnRules: ownRules(p), Exact: m.Exact(),
		Playing: Playing{Text: m.Playing.String(), Player: Player{
			Generator: estimate.Generator, Seed: e.Options.Seed, LengthS: seconds(e.Options.Length), MarginS: seconds(e.Margin),
			Notes: e.Notes, Counted: e.Counted, Batches: e.Batches, Restruck: e.Restruck,
		}},
		Load: Loads{
			HeldErlang: m.All.Held, PedalErlang: m.All.Gated, AudibleErlang: m.All.Audible,
			HeldVoices: m.All.HeldVoices, PedalVoices: m.All.GatedVoices, AudibleVoices: m.All.AudibleVoices,
			Little: e.Little, Sounding: e.Mean,
		},
		LeftAside: leftAside(p), RestsOn: valuesOf(p), Findings: newFindings(p.Findings),
	}
	for i := range m.Lines {
		out.Playing.Layers = append(out.Playing.Layers, newLayer(p, &m.Lines[i]))
	}
	for i := range e.Needs {
		out.Enough = append(out.Enough, newEnough(&e.Needs[i]))
	}
	out.Covered = []Coverage{}
	if s := e.Sizing; len(s.Points) < s.Last {
		out.Covered = append(out.Covered, Coverage{"voices", len(s.Points), s.Last})
	}
	for i := range e.Points {
		out.Curve = append(out.Curve, newEstimatePoint(e, &e.Points[i]))
	}
	return out
}

// leftAside looks for what theory takes no account of.
func leftAside(p *plan.Plan) LeftAside {
	aside := LeftAside{Unisons: []string{}}
	for i, part := range p.Rules.Config.Parts {
		aside.ReservesLimits = aside.ReservesLimits || part.Reserve > 0 || part.Limit > 0
		short := p.Rig.Parts[i].Unison.Short.String()
		if part.Unison.Voices > 1 && part.Unison.WhenShort != alloc.Blocks && !slices.Contains(aside.Unisons, short) {
			aside.Unisons = append(aside.Unisons, short)
		}
	}
	return aside
}

func newLayer(p *plan.Plan, l *estimate.Line) EstimateLayer {
	of := l.Layer
	return EstimateLayer{
		Text: of.String(), Part: p.Rules.Config.Parts[l.Part].Name, Fewest: of.Least, Most: of.Most,
		ChordsPerS: of.Rate, NotesPerS: of.NotesPerSecond(), Even: of.Even, KeyS: seconds(l.Key), PedalS: seconds(of.Pedal),
		GateS: seconds(l.Gate), TailS: seconds(l.Tail), Unison: l.Width,
		HeldErlang: l.Held, PedalErlang: l.Gated, AudibleErlang: l.Audible,
	}
}

func newEnough(n *estimate.Need) EstimateEnough {
	of := func(n int) *int {
		if n == 0 {
			return nil
		}
		return &n
	}
	return EstimateEnough{n.AtMost, of(n.Refused), of(n.Poisson), of(n.Chords), of(n.Tails), of(n.Own)}
}

func newEstimatePoint(e *estimate.Estimate, at *estimate.Point) EstimatePoint {
	return EstimatePoint{
		Voices: at.Voices, ErlangB: at.Refused, Poisson: at.Poisson, Chords: at.Chords, Tails: at.Tails,
		AboveHeld: at.AboveHeld, AbovePedal: at.AboveGated, AboveAudible: at.AboveAudible,
		MustDamage: at.MustDamage,
		Refusing:   newPlayed(&at.Refusing), Oldest: newPlayed(&at.Oldest), Own: newPlayed(&at.Own),
	}
}

func newPlayed(p *estimate.Played) PlayedCost {
	return PlayedCost{cost(&p.Score), p.Share, p.Error, p.TailShare}
}
