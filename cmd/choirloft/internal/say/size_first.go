package say

import (
	"fmt"
	"slices"
	"strings"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/profiles/unit"
)

// mends are what to do about what plays wrong, before the fixes and after them: the same as of
// replay.
func (s size) mends() (before, after []mend) {
	return faults{s.NoJack, s.WrongPitch, s.unheard(), s.OldReadings, s.Now.Damaged}.around(s.content())
}

// does tells whether a fix transposes parts as a mend does, and nothing else.
func (m mend) does(f *contract.Fix) bool {
	if len(m.shifts) == 0 || len(f.Changes) != len(m.shifts) {
		return false
	}
	for i := range f.Changes {
		c := &f.Changes[i]
		if c.Kind != "transpose" || c.Part == nil || m.shifts[*c.Part] != c.Semitones {
			return false
		}
	}
	return true
}

// transposes tells whether a fix transposes a part.
func transposes(f contract.Fix) bool { return slices.Contains(f.Kinds, "transpose") }

// leaves is what a fix leaves, for how long that is heard, and for how long it is now: as
// the table has it. More losses than now may be heard, each less.
func (s size) leaves(f *contract.Fix) string {
	then, now := f.After.Missing, s.Now.Missing
	if then == nil || now == nil || then.HeardS == 0 || now.HeardS == 0 {
		return costWords(&f.After, &f.Leaves)
	}
	heard := missingWords(then)
	switch plain := then.PlainS > 0; {
	case plain && now.PlainS > 0:
		heard += " (now " + unit.Span(now.PlainS) + ")"
	case plain:
		heard += " (now none)"
	case now.PlainS > 0:
		heard = fmt.Sprintf("nothing plainly missing (now %s), %s heard at all (now %s)", unit.Span(now.PlainS), unit.Span(then.HeardS), unit.Span(now.HeardS))
	default:
		heard += " (now " + unit.Span(now.HeardS) + ")"
	}
	wrong := stillWrong(&f.Leaves)
	if f.Leaves.WrongPitches == 0 && len(s.WrongPitch) > 0 {
		wrong = slices.Insert(wrong, 0, "none at the wrong pitch")
	}
	return strings.Join(notEmpty([]string{lossWords(&f.After) + ", " + heard, strings.Join(wrong, ", ")}), "; ")
}

// firstFixes say what to try first, what to try then, and what it would take to
// buy, and name the places of these fixes. What must be bought comes first where there is nothing else.
func (s size) firstFixes() (first, further, buy string, named []int) {
	line := func(head string, fits func(at int, f *contract.Fix) bool) string {
		for at := range s.Fixes {
			if f := &s.Fixes[at]; fits(at, f) {
				text := s.fixText(f, func(at int) bool { return slices.Contains(named, at) })
				named = append(named, at)
				return fmt.Sprintf("%s (%d): %s%s%s.", head, f.Number, text, thenLeaves, s.leaves(f))
			}
		}
		return ""
	}
	spoils := func(c contract.FixCost) bool { return c.What != "moved" }
	leads := func(at int, f *contract.Fix) bool {
		return f.Asks != buying && (at == 0 && !slices.ContainsFunc(f.Costs, spoils) || len(f.Costs) == 0 && !f.Near)
	}
	before, after := s.mends()
	const head = "First fix"
	own := -1 // the fix of the list that is first whatever it saves
	if len(before) > 0 {
		own = slices.IndexFunc(s.Fixes, func(f contract.Fix) bool { return before[0].does(&f) })
	}
	switch {
	case s.content() && len(s.Fixes) == 0 && len(before)+len(after) == 0:
		return "Nothing that you would hear needs a fix.", "", "", nil
	case s.content() && len(s.Fixes) == 0:
		return doFirst(append(before, after...)), "", "", nil
	case own >= 0:
		first = line(head, func(at int, _ *contract.Fix) bool { return at == own })
	case len(before) > 0:
		first, further = doFirst(before), line("Next", leads)
	case len(s.Fixes) > 0 && s.Fixes[0].Asks == buying:
		first = line(head+" without buying", leads)
	default:
		first = line(head, leads)
	}
	if len(before) == 0 || own >= 0 {
		if len(named) > 0 && transposes(s.Fixes[named[0]]) && !s.content() {
			further = line("Next", func(at int, f *contract.Fix) bool { return at > 0 && leads(at, f) && !transposes(*f) })
		}
	}
	buy = line("Or buy", func(_ int, f *contract.Fix) bool { return f.Asks == buying })
	if buy != "" {
		buy = strings.TrimSpace(buy + " " + s.purchaseLine())
	}
	switch {
	case first == "" && len(after) > 0 && !contract.DrumsAlone(s.UnmappedKeys):
		first = doFirst(after)
	case first == "" && buy == "" && len(s.Fixes) > 0:
		first = line("No fix comes without a cost", func(int, *contract.Fix) bool { return true })
	case first == "" && buy == "" && s.lossy() && s.Settings != nil && s.Settings.Played > 1:
		first = "No fix tried makes it better."
	case first == "":
		first, buy = strings.Replace(buy, "Or buy", "Only buying helps", 1), ""
	}
	if b := s.Buying; b != nil && b.After != nil && s.buyingLine() != "" {
		named = append(named, *b.After-1)
	}
	if buy == "" {
		buy = s.noRoomFirst()
	}
	return first, further, buy, named
}

// doFirst says what to do that is no fix of the list.
func doFirst(mends []mend) string { return firstFix + mends[0].text + "." }
