package say

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

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
	tail := " Nothing needs a fix."
	switch {
	case r.Dealt:
		tail = " Each voice plays what it was dealt."
	case len(fixes) > 0:
		tail = " First fix: " + fixes[0] + "."
	}
	line := func(without string) string {
		all := r.needs(without) + tail
		if len(fixes) > 0 && utf8.RuneCountInString(all) > headWidth { // what rests on it must stay within four lines
			all = strings.Replace(all, fixes[0], r.inShort(fixes[0]), 1)
		}
		return all
	}
	if r.Flags.Unmapped == 0 {
		return line("")
	}
	if all := line(" without " + unit.First(r.from(), 1)); utf8.RuneCountInString(all) <= headWidth {
		return all
	}
	return line(" without those")
}

// needs says how many voices are needed: by ear, or where that is not known by what
// the keys and the tails ask for.
func (r result) needs(without string) string {
	if n := byEar(&r.Demand); n != nil {
		return fmt.Sprintf("Needs %s%s.", unit.Count(*n, "voice"), without)
	}
	return fmt.Sprintf("Needs %s%s, %d with tails.", unit.Count(r.Demand.Pedal, "voice"), without, r.Demand.Audible)
}

// inShort says a fix in fewer words: the line about it says all.
func (r result) inShort(fix string) string {
	fix = strings.TrimPrefix(fix, "transpose ")
	if n := len(r.from()); n > 1 && strings.HasPrefix(fix, "a part for ") {
		fix = "parts for " + unit.Count(n, "channel")
	}
	if part, wider := strings.CutSuffix(fix, " a wider CV range"); wider {
		fix = "a wider range for " + strings.TrimPrefix(part, "give ")
	}
	fix, _, _ = strings.Cut(fix, " (has ")
	return fix
}

// from says where the notes come from that no part plays.
func (r result) from() []string { return unplayedFrom(r.UnmappedKeys, r.middleC) }

// then names what to try after the first fix.
func (r result) then() string {
	switch fixes := r.fixes(); len(fixes) {
	case 0:
		return ""
	case 1:
		return "choirloft size tries more."
	default:
		text := ""
		rest, more := r.moreVoices(fixes[1:])
		rest = slices.DeleteFunc(rest, r.saidAlready)
		if len(rest) > 0 {
			text = "Then: " + unit.List(rest) + ". "
		}
		return text + more + "choirloft size tries more."
	}
}

// saidAlready tells whether a fix stands in the lines about what plays wrong.
func (r result) saidAlready(fix string) bool {
	before, after := r.around()
	return slices.ContainsFunc(slices.Concat(before, after), func(m mend) bool { return m.text == fix })
}

// around are the fixes of what plays wrong, before that of the notes and after it.
func (r result) around() (before, after []mend) {
	_, hurt := r.noteFix()
	return faults{r.NoJack, r.WrongPitch, r.from(), r.OldReadings}.around(hurt)
}

// moreVoices takes fixes that add voices out of a list, and says how many voices are
// enough: two sums beside each other read as one to add up.
func (r result) moreVoices(fixes []string) (rest []string, says string) {
	d := &r.Demand
	notes, _ := r.noteFix()
	tails := r.tailFix()
	var enough []string
	for _, fix := range fixes {
		switch {
		case byEar(d) != nil && *byEar(d) > d.Voices && (fix == notes && r.Waited == 0 || fix == tails):
			enough = []string{unit.Count(*byEar(d), "voice") + " leave nothing to hear"}
		case r.Heard == nil && fix == notes && r.Waited == 0 && d.Pedal > d.Voices:
			enough = append(enough, unit.Count(d.Pedal, "voice")+" play every note whole")
		case r.Heard == nil && fix == tails && d.Audible > d.Voices && len(enough) > 0:
			enough = append(enough, strconv.Itoa(d.Audible)+" let every tail ring out")
		case r.Heard == nil && fix == tails && d.Audible > d.Voices:
			enough = append(enough, unit.Count(d.Audible, "voice")+" let every tail ring out")
		default:
			rest = append(rest, fix)
		}
	}
	if len(enough) == 0 {
		return rest, ""
	}
	return rest, strings.Join(enough, ", ") + ". "
}

// fixes are what to try, the first first: what plugging mends, then what mends
// most notes, then what only tails need.
func (r result) fixes() (all []string) {
	notes, _ := r.noteFix()
	before, after := r.around()
	for _, fix := range before {
		all = append(all, fix.text)
	}
	all = append(all, notes)
	for _, fix := range after {
		all = append(all, fix.text)
	}
	if tails := r.tailFix(); tails != notes {
		all = append(all, tails)
	}
	return notEmpty(all)
}

// faults are what needs another fix than voices and rules.
type faults struct {
	noJack      []string
	wrongPitch  []contract.WrongPitch
	unmapped    []string // where notes come from that no part plays
	oldReadings []string
}

// mostName is how many characters of a part's name a line of the head has room for.
const mostName = 14

// mend is what to do about a fault, and its effort.
type mend struct{ effort, text string }

// around are what to do before what saves so many notes from being cut short or
// dropped, and after it: first what plugging mends, then what mends most notes.
// Where no note is hurt, all of it comes first.
func (f faults) around(hurt int) (before, after []mend) {
	if len(f.noJack) > 0 {
		before = append(before, mend{"wiring", "give " + unit.First(f.noJack, 1) + " a jack"})
	}
	if len(f.wrongPitch) > 0 {
		worst := slices.MaxFunc(f.wrongPitch, func(a, b contract.WrongPitch) int { return cmp.Compare(a.Notes, b.Notes) })
		pitch := mend{"playing", intoRange(yield(worst.Part, utf8.RuneCountInString(worst.Part)-mostName), &worst.Range)}
		if n := worst.Range.OctavesToFit; n == nil || *n == 0 {
			pitch.effort = "wiring"
		}
		if worst.Notes > hurt {
			before = append(before, pitch)
		} else {
			after = append(after, pitch)
		}
	}
	if len(f.unmapped) > 0 {
		after = append(after, mend{"setting", "a part for " + unit.First(f.unmapped, 1)})
	}
	if len(f.oldReadings) > 0 {
		after = append(after, mend{"wiring", "measure " + unit.First(f.oldReadings, 1) + " again"})
	}
	if hurt == 0 {
		return append(before, after...), nil
	}
	return before, after
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
	case byEar(d) != nil && *byEar(d) > d.Voices:
		return r.addVoices(*byEar(d)), hurt
	case d.Pedal > d.Voices:
		return r.addVoices(d.Pedal), hurt
	}
	if fix := r.partFix(func(d *contract.Demand) int { return d.Pedal }); fix != "" {
		return fix, hurt
	}
	return "let choirloft size try other rules", hurt
}

// addVoices says how many more voices make so many.
func (r result) addVoices(n int) string {
	return fmt.Sprintf("add %s (%d)", unit.Count(n-r.Demand.Voices, "voice"), n)
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
			most, fix = n-has, fmt.Sprintf("give %s %s (has %d)", p.Name, unit.Count(n, "voice"), has)
		}
	}
	return fix
}

// tailFix says what lets the tails ring out, as far as they are heard.
func (r result) tailFix() string {
	d := &r.Demand
	switch {
	case r.Heard != nil && !r.lossHeard():
		return ""
	case byEar(d) != nil && *byEar(d) > d.Voices:
		return r.addVoices(*byEar(d))
	case r.Endings[study.TailCutOtherKey] == 0:
		return ""
	case r.Heard == nil && d.Audible > d.Voices:
		return fmt.Sprintf("add %s for every tail (%d)", unit.Count(d.Audible-d.Voices, "voice"), d.Audible)
	}
	if fix := r.partFix(func(d *contract.Demand) int { return d.Audible }); fix != "" {
		return fix
	}
	return "let choirloft size try other rules for the tails"
}
