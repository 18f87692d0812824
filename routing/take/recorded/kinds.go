package recorded

import (
	"math"
	"slices"
	"time"

	"choirloft/profiles"
)

// KindRelease is the release of the voices of a kind, as they were measured.
type KindRelease struct {
	Kind              int // index into Rig.Kinds
	Voices            int // that were measured, at least one
	Median, Low, High time.Duration
}

// Releases are the releases of the kinds of voices, in the order of the rig: the
// median of its voices, for those that were not measured and those that are bought. It is rounded to three digits.
func (r *Result) Releases() (all []KindRelease) {
	rig := r.Take.Plan.Rig
	for kind := range rig.Kinds {
		var seconds []float64
		for i := range r.Voices {
			v := &r.Voices[i]
			if rig.Banks[rig.Voices[v.Voice].Bank].Kind == kind && v.State == OK && !math.IsNaN(v.Release) {
				seconds = append(seconds, v.Release)
			}
		}
		if len(seconds) == 0 {
			continue
		}
		slices.Sort(seconds)
		n := len(seconds)
		all = append(all, KindRelease{Kind: kind, Voices: n, Median: digits((seconds[(n-1)/2] + seconds[n/2]) / 2), Low: digits(seconds[0]), High: digits(seconds[n-1])})
	}
	return all
}

// digits rounds seconds to three digits, and to a tenth of a millisecond at the finest.
func digits(seconds float64) time.Duration {
	step := math.Max(1e-4, math.Pow(10, math.Floor(math.Log10(seconds))-2))
	return time.Duration(math.Round(math.Round(seconds/step)*step*1e9/1e4)) * 1e4
}

// Settings are what a rig file has to say of the releases of its kinds, that they were
// measured, and of the voices. A built-in kind gets a place under its own name.
func Settings(rig *profiles.Rig, releases []KindRelease, answers []Answer, typed func(time.Duration) string) (all []profiles.Setting) {
	for _, k := range releases {
		kind := &rig.Kinds[k.Kind]
		names := "release"
		if slices.Contains(kind.Measured, profiles.MeasuredDrift) {
			names += ", drift"
		}
		if kind.Pos.IsZero() {
			all = append(all, profiles.Setting{Path: []string{"voices", kind.Name}, Text: "{profile: " + kind.Name + ", release: " + typed(k.Median) + ", measured: [release]}"})
			continue
		}
		all = append(all, profiles.Setting{Path: []string{"voices", kind.Name, "release"}, Text: typed(k.Median)},
			profiles.Setting{Path: []string{"voices", kind.Name, "measured"}, Text: "[" + names + "]"})
	}
	for i := range answers {
		all = append(all, profiles.Setting{Path: []string{"measured", rig.Voices[answers[i].Voice].Name}, Text: answers[i].Text()})
	}
	return all
}
