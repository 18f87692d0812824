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

// givenSource tells where a value comes from that nobody can call measured.
func givenSource(rig *profiles.Rig, path string) Source {
	if _, given := rig.Given(path); given {
		return FromRig
	}
	return Assumed
}
