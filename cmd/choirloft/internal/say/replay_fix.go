package say

import (
	"fmt"
	"slices"

	"choirloft/alloc/study"
	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/profiles/unit"
)

// needHead says how many voices are needed, and what to try first.
func (r result) needHead() string {
	fixes := r.fixes()
	switch {
	case r.Song.Notes == 0 && len(fixes) == 0:
		return ""
	case r.Song.Notes == 0:
		return "First fix: " + fixes[0] + "."
	case r.Demand.Voices == 0:
		return "No voice is in service."
	}
	line := fmt.Sprintf("Needs %s, %d with tails.", unit.Count(r.Demand.Pedal, "voice"), r.Demand.Audible)
	if r.Dealt {
		return line + " Each voice plays what it was dealt."
	}
	if len(fixes) > 0 {
		return line + " First fix: " + fixes[0] + "."
	}
	return line + " Nothing needs a fix."
}

// then names what to try after the first fix.
func (r result) then() string {
	switch fixes := r.fixes(); len(fixes) {
	case 0:
		return ""
	case 1:
		return "choirloft size plays other fixes."
	default:
		return "Then: " + unit.List(fixes[1:]) + ". choirloft size plays other fixes."
	}
}

// fixes are what to try, the first first: what plugging mends, then what mends
// most notes, then what only tails need.
func (r result) fixes() (all []string) {
	if len(r.NoJack) > 0 {
		all = append(all, "give "+unit.First(r.NoJack, 1)+" a jack")
	}
	pitch, wrong := r.pitchFix()
	notes, hurt := r.noteFix()
	if wrong > hurt {
		all = append(all, pitch, notes)
	} else {
		all = append(all, notes, pitch)
	}
	if r.Flags.Unmapped > 0 {
		all = append(all, "a part for "+unit.First(r.UnmappedFrom, 1))
	}
	if len(r.OldReadings) > 0 {
		all = append(all, "measure "+unit.First(r.OldReadings, 1)+" again")
	}
	return slices.DeleteFunc(append(all, r.tailFix()), func(s string) bool { return s == "" })
}

// pitchFix brings the part with most notes out of range into it: words, and how
// many notes.
func (r result) pitchFix() (string, int) {
	var worst *contract.Part
	for i := range r.Parts {
		if p := &r.Parts[i]; p.Range != nil && p.Range.Missed > 0 && (worst == nil || p.Range.Missed > worst.Range.Missed) {
			worst = p
		}
	}
	if worst == nil {
		return "", 0
	}
	return intoRange(worst.Name, worst.Range), worst.Range.Missed
}

// noteFix says what may save the notes that are cut short or dropped, but for
// those out of range; how many they are.
func (r result) noteFix() (string, int) {
	hurt := r.Damaged
	for i := range r.Losses {
		if r.Losses[i].Cause == "range" {
			hurt--
		}
	}
	d := &r.Demand
	switch {
	case hurt == 0:
		return "", 0
	case r.Waited > 0:
		return "make the unison smaller, or set when_short: thin", hurt
	case d.Pedal > d.Voices:
		return fmt.Sprintf("add %s (%d)", unit.Count(d.Pedal-d.Voices, "voice"), d.Pedal), hurt
	}
	if fix := r.partFix(func(d *contract.Demand) int { return d.Pedal }); fix != "" {
		return fix, hurt
	}
	return "let choirloft size try other rules", hurt
}

// partFix names the part that needs most voices beyond those it may have.
func (r result) partFix(needs func(*contract.Demand) int) (fix string) {
	most := 0
	for i := range r.Parts {
		p := &r.Parts[i]
		has := p.Voices
		if p.Limit != nil {
			has = min(has, *p.Limit)
		}
		if n := needs(&p.Demand); n-has > most {
			most, fix = n-has, fmt.Sprintf("give %s %d voices (has %d)", p.Name, n, has)
		}
	}
	return fix
}

// tailFix says what lets the tails ring out.
func (r result) tailFix() string {
	d := &r.Demand
	switch {
	case r.Endings[study.TailCutOtherKey] == 0:
		return ""
	case d.Audible > d.Voices:
		return fmt.Sprintf("add %s for every tail (%d)", unit.Count(d.Audible-d.Voices, "voice"), d.Audible)
	}
	if fix := r.partFix(func(d *contract.Demand) int { return d.Audible }); fix != "" {
		return fix
	}
	return "let choirloft size try other rules for the tails"
}
