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
	s, p := b.in.Sizing, b.in.Plan
	out := Basis{StepPercent: math.Round(100 * study.ReleaseStep), Longer: Enough(s.Longer), Shorter: Enough(s.Shorter)}
	for i, v := range p.Rules.Config.Voices {
		if !v.State.InService() {
			continue
		}
		out.ReleaseS = max(out.ReleaseS, seconds(v.Envelope.Release))
		out.ReleaseAssumed = out.ReleaseAssumed || !b.releaseGiven(&v)
		out.RangeAssumed = out.RangeAssumed || !b.rangeGiven(i)
	}
	return out
}

// releaseGiven tells whether somebody wrote the release of a voice, in the rig or
// for this run.
func (b *sizer) releaseGiven(v *alloc.Voice) bool {
	kind := &b.rig.Kinds[b.rig.Banks[v.Bank].Kind]
	_, given := b.rig.Given("voices." + kind.Name + ".release")
	return given || v.Envelope.Release != kind.Envelope.Release
}

// rangeGiven tells whether somebody wrote the window that a voice plays in.
func (b *sizer) rangeGiven(voice int) bool {
	voices := b.in.Plan.Map.Voices
	if voice >= len(voices) || voices[voice].Interface < 0 {
		return false
	}
	_, given := b.rig.Given("interfaces." + b.rig.Interfaces[voices[voice].Interface].Name + ".window")
	return given
}
