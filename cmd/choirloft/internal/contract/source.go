package contract

import (
	"slices"

	"choirloft/profiles"
)

// Source says where a value comes from, on which an answer rests.
type Source string

// The sources, the weakest last.
const (
	Measured Source = "measured" // the rig gives it, and says that it was measured
	FromRig  Source = "rig"      // the rig gives it, and does not say so
	ThisRun  Source = "run"      // given for this run alone
	Assumed  Source = "assumed"  // nobody gave it: a default, or of a built-in profile
)

var sources = []Source{Measured, FromRig, ThisRun, Assumed}

// weaker is the weaker of two sources: what rests on both rests on that.
func weaker(a, b Source) Source {
	return sources[max(slices.Index(sources, a), slices.Index(sources, b))]
}

// kindSource tells where a value of a kind of voice comes from.
func kindSource(rig *profiles.Rig, kind *profiles.Kind, what profiles.Measurable) Source {
	_, given := rig.Given("voices." + kind.Name + "." + what.String())
	switch {
	case !given:
		return Assumed
	case slices.Contains(kind.Measured, what):
		return Measured
	}
	return FromRig
}

// measuredRelease tells whether somebody measured the release of a voice itself.
func measuredRelease(rig *profiles.Rig, voice int) bool {
	a := rig.Voices[voice].Answer
	return a != nil && a.Release != nil
}

// voiceRelease tells where the release of a voice comes from: where those of others of its kind were
// measured, voice by voice, that of the kind stands for it, and is not its own.
func voiceRelease(rig *profiles.Rig, voice int) Source {
	kind := rig.Banks[rig.Voices[voice].Bank].Kind
	source := kindSource(rig, &rig.Kinds[kind], profiles.MeasuredRelease)
	switch {
	case measuredRelease(rig, voice):
		return Measured
	case source == Measured && slices.ContainsFunc(rig.Banks, func(b profiles.Bank) bool { return b.Kind == kind && someMeasured(rig, &b) }):
		return FromRig
	}
	return source
}

// someMeasured tells whether the release of a voice of a bank was measured by itself.
func someMeasured(rig *profiles.Rig, b *profiles.Bank) bool {
	for v := b.First; v < b.First+b.Size; v++ {
		if measuredRelease(rig, v) {
			return true
		}
	}
	return false
}

// givenSource tells where a value comes from that nobody can call measured.
func givenSource(rig *profiles.Rig, path string) Source {
	if _, given := rig.Given(path); given {
		return FromRig
	}
	return Assumed
}
