package contract

import (
	"math"

	"choirloft/alloc"
	"choirloft/alloc/study"
	"choirloft/routing/plan"
)

// basis says what the numbers of voices rest on.
func (b *sizer) basis() Basis {
	s := b.in.Sizing
	return Basis{Values: valuesOf(b.in.Plan), StepPercent: math.Round(100 * study.ReleaseStep), Longer: Enough(s.Longer), Shorter: Enough(s.Shorter)}
}

// valuesOf are the values of a plan on which numbers of voices rest.
func valuesOf(p *plan.Plan) (out Values) {
	out.ReleaseSource = Measured
	before := out.ReleaseSource
	for i, v := range p.Rules.Config.Voices {
		if !v.State.InService() {
			continue
		}
		out.ReleaseS = max(out.ReleaseS, seconds(v.Envelope.Release))
		source := releaseSource(p, i, &v)
		if out.ReleaseSource = weaker(out.ReleaseSource, source); v.Bank < keptBanks(p) {
			before = weaker(before, source)
		}
		out.RangeAssumed = out.RangeAssumed || !rangeGiven(p, i)
	}
	if before != out.ReleaseSource {
		out.ReleaseBefore = &before
	}
	out.ReleaseAssumed = out.ReleaseSource == Assumed
	out.OneVoice = oneVoices(p)
	return out
}

// releaseSource tells where the release of a voice comes from.
func releaseSource(p *plan.Plan, voice int, v *alloc.Voice) Source {
	if v.Envelope.Release != p.Rig.Envelope(voice).Release {
		return ThisRun
	}
	return voiceRelease(p.Rig, voice)
}

// keptBanks is how many banks there are without those that are bought.
func keptBanks(p *plan.Plan) int {
	if p.Bought == nil {
		return len(p.Rig.Banks)
	}
	return len(p.Rig.Banks) - p.Bought.Banks
}

// rangeGiven tells whether somebody wrote the window that a voice plays in: of an interface
// that is bought, that of the one that it is like.
func rangeGiven(p *plan.Plan, voice int) bool {
	voices := p.Map.Voices
	if voice >= len(voices) || voices[voice].Interface < 0 {
		return false
	}
	at := voices[voice].Interface
	if p.Bought != nil && at >= len(p.Unchanged.Interfaces) {
		at = p.Bought.From
	}
	_, given := p.Rig.Given("interfaces." + p.Rig.Interfaces[at].Name + ".window")
	return given
}
