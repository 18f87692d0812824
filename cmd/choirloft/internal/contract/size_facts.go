package contract

import (
	"math"

	"choirloft/alloc"
	"choirloft/alloc/study"
	"choirloft/profiles"
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
	for i, v := range p.Rules.Config.Voices {
		if !v.State.InService() {
			continue
		}
		out.ReleaseS = max(out.ReleaseS, seconds(v.Envelope.Release))
		out.ReleaseSource = weaker(out.ReleaseSource, releaseSource(p, i, &v))
		out.RangeAssumed = out.RangeAssumed || !rangeGiven(p, i)
	}
	out.ReleaseAssumed = out.ReleaseSource == Assumed
	out.OneVoice = oneVoices(p)
	return out
}

// releaseSource tells where the release of a voice comes from.
func releaseSource(p *plan.Plan, voice int, v *alloc.Voice) Source {
	kind := &p.Rig.Kinds[p.Rig.Banks[v.Bank].Kind]
	switch {
	case v.Envelope.Release != p.Rig.Envelope(voice).Release:
		return ThisRun
	case measuredRelease(p.Rig, voice):
		return Measured
	}
	return kindSource(p.Rig, kind, profiles.MeasuredRelease)
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
