package say

import (
	"fmt"
	"slices"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/profiles/unit"
)

// wrong says what plays wrong, or not at all, however many voices there are.
func (s size) wrong() []string {
	lines := s.wrongPitches(2)
	if s.Unmapped > 0 {
		verb := "notes are"
		if s.Unmapped == 1 {
			verb = "note is"
		}
		lines = append(lines, fmt.Sprintf("%d %s unplayed: no part plays %s.", s.Unmapped, verb, unit.First(s.UnmappedFrom, 4)))
	}
	switch n := len(s.NoJack); {
	case n == 1:
		lines = append(lines, s.NoJack[0]+" has no jack for pitch or gate, and cannot play: see check.")
	case n > 1:
		lines = append(lines, fmt.Sprintf("%d voices have no jack for pitch or gate, and cannot play (%s): see check.", n, unit.First(s.NoJack, 4)))
	}
	return lines
}

// wrongPitches says so of the parts with most such notes, and counts the others.
func (s size) wrongPitches(most int) (lines []string) {
	worst := slices.Clone(s.WrongPitch)
	slices.SortStableFunc(worst, func(a, b contract.WrongPitch) int { return b.Notes - a.Notes })
	for i := range worst[:min(most, len(worst))] {
		lines = append(lines, wrongPitch(&worst[i], s.MiddleC))
	}
	var names []string
	left := 0
	for i := most; i < len(worst); i++ {
		names, left = append(names, worst[i].Part), left+worst[i].Notes
	}
	if left > 0 {
		lines = append(lines, fmt.Sprintf("So do %s of %s.", unit.Count(left, "note"), unit.List(names)))
	}
	return lines
}

// wrongPitch says which notes of a part play at the wrong pitch, and what to do.
func wrongPitch(w *contract.WrongPitch, middleC int) string {
	r := &w.Range
	verb := "play"
	if w.Notes == 1 {
		verb = "plays"
	}
	return fmt.Sprintf("%d of %s of %s %s at the wrong pitch, %s: %s.", w.Notes, unit.Count(w.Of, "note"), w.Part, verb,
		outside(r, middleC), intoRange(w.Part, r))
}

// outside says at which end notes lie outside of the range.
func outside(r *contract.Range, middleC int) string {
	key := func(k int) string { return fmt.Sprintf("%s (%d)", contract.KeyName(k, middleC), k) }
	below, above := r.WindowLowKey != nil && r.LowKey < *r.WindowLowKey, r.WindowHighKey != nil && r.HighKey > *r.WindowHighKey
	switch {
	case below && above:
		return "below " + key(*r.WindowLowKey) + " or above " + key(*r.WindowHighKey)
	case below:
		return "below " + key(*r.WindowLowKey)
	case above:
		return "above " + key(*r.WindowHighKey)
	}
	return "out of range by bend or detune"
}

// intoRange says what to do with a part that leaves its range.
func intoRange(part string, r *contract.Range) string {
	switch n := r.OctavesToFit; {
	case n == nil || *n == 0:
		return "give " + part + " a wider CV range"
	case *n > 0:
		return "transpose " + part + " up " + unit.Count(*n, "octave")
	default:
		return "transpose " + part + " down " + unit.Count(-*n, "octave")
	}
}

// restLine says what the numbers rest on, and how far it moves them.
func (s size) restLine() string {
	r := &s.RestsOn
	line := restsOn(&r.Values) + " "
	step := fmt.Sprintf("%.0f %%", r.StepPercent)
	if r.Longer.Audible == r.Shorter.Audible {
		line += "Release " + step + " longer or shorter: no change."
	} else {
		line += fmt.Sprintf("Release %s longer: %d voices for every tail; %s shorter: %d.", step, r.Longer.Audible, step, r.Shorter.Audible)
	}
	if r.RangeAssumed {
		line += " The CV range is not measured: it decides which pitches are right."
	}
	return line
}

// restsOn names the release, and whether somebody measured it.
func restsOn(v *contract.Values) string {
	source := "from the rig"
	if v.ReleaseAssumed {
		source = "not measured"
	}
	return fmt.Sprintf("Rests on: release %s (%s).", unit.Span(v.ReleaseS), source)
}
