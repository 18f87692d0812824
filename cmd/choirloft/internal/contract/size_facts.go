package contract

import (
	"math"

	"choirloft/alloc"
	"choirloft/alloc/study"
	"choirloft/routing/plan"
)

// wrongPitch lists the parts with notes out of range, in the order of the rig.
func (b *sizer) wrongPitch() []WrongPitch {
	list := []WrongPitch{}
	ranges := b.in.Plan.Reach(b.in.Song, b.in.Now)
	for i := range ranges {
		tally := &b.in.Now.Parts[i].Tally
		if tally.Clamped == 0 {
			continue
		}
		list = append(list, WrongPitch{Part: b.rig.Parts[i].Name, Notes: tally.Clamped, Of: tally.Notes, Range: *newRange(&ranges[i])})
	}
	return list
}

// withoutJack names the voices in service whose pitch or gate has no jack. A rig
// without interfaces has no jacks to want.
func withoutJack(p *plan.Plan) []string {
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

// basis says what the numbers of voices rest on.
func (b *sizer) basis() Basis {
	s := b.in.Sizing
	return Basis{Values: valuesOf(b.in.Plan), StepPercent: math.Round(100 * study.ReleaseStep), Longer: Enough(s.Longer), Shorter: Enough(s.Shorter)}
}

// valuesOf are the values of a plan on which numbers of voices rest.
func valuesOf(p *plan.Plan) (out Values) {
	for i, v := range p.Rules.Config.Voices {
		if !v.State.InService() {
			continue
		}
		out.ReleaseS = max(out.ReleaseS, seconds(v.Envelope.Release))
		out.ReleaseAssumed = out.ReleaseAssumed || !releaseGiven(p, &v)
		out.RangeAssumed = out.RangeAssumed || !rangeGiven(p, i)
	}
	return out
}

// releaseGiven tells whether somebody wrote the release of a voice, in the rig or
// for this run.
func releaseGiven(p *plan.Plan, v *alloc.Voice) bool {
	kind := &p.Rig.Kinds[p.Rig.Banks[v.Bank].Kind]
	_, given := p.Rig.Given("voices." + kind.Name + ".release")
	return given || v.Envelope.Release != kind.Envelope.Release
}

// rangeGiven tells whether somebody wrote the window that a voice plays in.
func rangeGiven(p *plan.Plan, voice int) bool {
	voices := p.Map.Voices
	if voice >= len(voices) || voices[voice].Interface < 0 {
		return false
	}
	_, given := p.Rig.Given("interfaces." + p.Rig.Interfaces[voices[voice].Interface].Name + ".window")
	return given
}
