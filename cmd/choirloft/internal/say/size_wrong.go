package say

import (
	"fmt"
	"slices"
	"strings"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/profiles/unit"
)

// wrong says what plays wrong, or not at all, however many voices there are.
func (s size) wrong() []string {
	return notEmpty(append(slices.Concat(wrongPitches(s.WrongPitch, s.MiddleC), monoChords(s.MonoChords)), s.unheard().sentence(s.Unmapped), noJack(s.NoJack), oldReadings(s.OldReadings)))
}

// monoChords says which mono parts play chords.
func monoChords(parts []contract.MonoChords) (lines []string) {
	for _, m := range parts {
		verb := "are"
		if m.Notes == 1 {
			verb = "is"
		}
		lines = append(lines, fmt.Sprintf("%s is mono: of a chord it plays one note, so %d of its %s %s left out.", m.Part, m.Notes, unit.Count(m.Of, "note"), verb))
	}
	return lines
}

// noJack names voices that nothing drives; empty for none.
func noJack(names []string) string {
	switch n := len(names); n {
	case 0:
		return ""
	case 1:
		return names[0] + " has no jack for pitch or gate, and cannot play: see check."
	default:
		return fmt.Sprintf("%d voices have no jack for pitch or gate, and cannot play (%s): see check.", n, unit.First(names, 4))
	}
}

// ifPlugged says that what is heard takes voices for plugged in that are not.
func ifPlugged(noJack int) string {
	switch noJack {
	case 0:
		return ""
	case 1:
		return " if 1 voice had its jack"
	}
	return fmt.Sprintf(" if %d voices had their jacks", noJack)
}

// mostWrong is how many parts with wrong pitches have a sentence of their own.
const mostWrong = 2

// wrongPitches says so of the parts with most such notes, and counts the others.
func wrongPitches(parts []contract.WrongPitch, middleC int) (lines []string) {
	worst := slices.Clone(parts)
	slices.SortStableFunc(worst, func(a, b contract.WrongPitch) int { return b.Notes - a.Notes })
	for i := range worst[:min(mostWrong, len(worst))] {
		w := worst[i]
		if n, z := w.Range.OctavesToFit, w.Range.ZeroKey; i > 0 && z != nil && n != nil && *n != 0 && worst[i-1].Range.ZeroKey != nil && *z == *worst[i-1].Range.ZeroKey {
			w.Range.ZeroKey = nil // which the line before has
		}
		lines = append(lines, wrongPitch(&w, middleC))
	}
	var names []string
	left := 0
	for i := mostWrong; i < len(worst); i++ {
		names, left = append(names, worst[i].Part), left+worst[i].Notes
	}
	if left > 0 {
		lines = append(lines, fmt.Sprintf("Also at the wrong pitch: %s of %s.", unit.Count(left, "note"), unit.Several(names)))
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
	line := fmt.Sprintf("%d of %s of %s %s at the wrong pitch, %s: %s.", w.Notes, unit.Count(w.Of, "note"), w.Part, verb,
		outside(r, middleC), intoRange(w.Part, r))
	if z := r.ZeroKey; z != nil && r.OctavesToFit != nil && *r.OctavesToFit != 0 {
		line += fmt.Sprintf(" Or tune %s to %s (%d) at 0 V.", z.Interface, contract.KeyName(z.Key, middleC), z.Key)
	}
	return line
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
	case (n == nil || *n == 0) && r.ZeroKey != nil:
		return fmt.Sprintf("set zero_key of %s to %d, and tune its voices to it", r.ZeroKey.Interface, r.ZeroKey.Key)
	case n == nil || *n == 0:
		return "play " + part + " on a wider CV range"
	case *n > 0:
		return "transpose " + part + " up " + unit.Count(*n, "octave")
	default:
		return "transpose " + part + " down " + unit.Count(-*n, "octave")
	}
}

// restLine says what the numbers rest on, and how far it moves them.
func (s size) restLine() string {
	r := &s.RestsOn
	if byEar(&s.Demand) != nil {
		return basisByEar(&r.Values, s.Hearing, s.earMoves())
	}
	step := fmt.Sprintf("%.0f %%", r.StepPercent)
	if r.Longer.Audible == r.Shorter.Audible {
		return basisLine(&r.Values, step+" longer or shorter: no change.")
	}
	return basisLine(&r.Values, fmt.Sprintf("%s longer: %d voices; shorter: %d.", step, r.Longer.Audible, r.Shorter.Audible))
}

// takeLine says how what it rests on is measured, where nobody did.
func (s size) takeLine() string {
	if from := s.RestsOn.ReleaseSource; from != contract.Assumed && from != contract.FromRig {
		return ""
	}
	return "One recording measures the release of every voice: see choirloft help take."
}

// basisLine says what an answer rests on, and how far it moves it.
func basisLine(v *contract.Values, moves string) string {
	return restsOn(v) + " " + moves
}

// basisByEar says what an answer rests on that goes by what is heard.
func basisByEar(v *contract.Values, h *contract.Hearing, moves string) string {
	return strings.TrimSuffix(strings.TrimSuffix(restsOn(v), ".")+", "+soundText(h)+". "+moves, " ")
}

// rangeLine says so where the CV range is assumed.
func rangeLine(v *contract.Values) string {
	if !v.RangeAssumed {
		return ""
	}
	const line = "The CV range (assumed) decides which pitches are right"
	switch spare := v.RangeSpareKeys; {
	case spare == nil:
		return line + "."
	case *spare < 0:
		var ends []string
		if v.RangeTooHigh > 0 {
			ends = append(ends, fmt.Sprintf("begins %s too high", unit.Count(v.RangeTooHigh, "key")))
		}
		if v.RangeTooLow > 0 {
			ends = append(ends, fmt.Sprintf("ends %s too low", unit.Count(v.RangeTooLow, "key")))
		}
		return "The CV range (assumed) " + strings.Join(ends, " and ") + "."
	case *spare == 0:
		return line + ": no key to spare."
	default:
		return fmt.Sprintf("%s: %s to spare.", line, unit.Count(*spare, "key"))
	}
}

// oneVoiceLine says which voices count as one, since they have one pitch jack.
func oneVoiceLine(v *contract.Values) string {
	var all []string
	for _, one := range v.OneVoice {
		all = append(all, fmt.Sprintf("%s share one pitch jack and count as one voice", unit.Several(one.Voices)))
	}
	switch {
	case len(all) == 0:
		return ""
	case len(all) <= 2:
		return strings.Join(all, ". ") + "."
	}
	return fmt.Sprintf("%s. So do %s.", all[0], unit.Count(len(all)-1, "further group"))
}

// rangeOfSongs says so for several songs, each of which has other keys.
func rangeOfSongs(v contract.Values) string {
	v.RangeSpareKeys = nil
	return rangeLine(&v)
}

// restsOn names the release, and whether somebody measured it.
func restsOn(v *contract.Values) string {
	source := sourceText(v.ReleaseSource)
	switch v.ReleaseSource { // in short, for a line
	case contract.FromRig:
		source = "not measured"
	case contract.ThisRun:
		source = "for this run"
	}
	if v.ReleaseBefore != nil {
		source = fmt.Sprintf("%s; %s for what is bought", sourceText(*v.ReleaseBefore), source)
	}
	return fmt.Sprintf("Rests on: release %s (%s).", releaseText(v.ReleaseS), source)
}

// sourceText says where a value comes from.
func sourceText(s contract.Source) string {
	switch s {
	case contract.Measured:
		return "measured"
	case contract.FromRig:
		return "from the rig, not measured"
	case contract.ThisRun:
		return "for this run, not measured"
	}
	return "assumed"
}

// releaseText prints a release, which may be none.
func releaseText(seconds float64) string {
	if seconds == 0 {
		return "0 s"
	}
	return unit.Span(seconds)
}
