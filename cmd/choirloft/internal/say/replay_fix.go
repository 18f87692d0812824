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
	first, brief := firstMend(r.content(), r.faults())
	switch {
	case r.Song.Notes == 0 && first == "":
		return ""
	case r.Song.Notes == 0:
		return first
	case r.Demand.Voices == 0:
		return "No voice is in service."
	}
	switch {
	case r.Dealt:
		first = "Each voice plays what it was dealt."
	case first == "" && r.content() && len(r.WrongPitch) == 0:
		first = "Nothing needs a fix."
	case first == "":
		first = triesFixes
	}
	return r.inALine(first, cmp.Or(brief, first))
}

// inALine sets the voices needed before a sentence: in fewer words where a line has no
// room for all, since what rests on it must stay within four.
func (r result) inALine(first, brief string) string {
	counted, from := "", ""
	if r.Flags.Unmapped > 0 { // the first line has them too
		channels, _ := r.unheard().channels()
		counted, from = fmt.Sprintf(" without %d unplayed", r.Flags.Unmapped), " without "+channels
	}
	for _, all := range []string{r.needs(from) + " " + first, r.needs(counted) + " " + first, r.needs(counted) + " " + brief} {
		if utf8.RuneCountInString(all) <= headWidth {
			return all
		}
	}
	return r.needs("") + " " + brief
}

// triesFixes says who does: replay tries none.
const triesFixes = "choirloft size tries fixes."

// needs says how many voices are needed by ear, as size does. Where that is not known, or no
// number is enough, size goes by counts of runs by the rules; replay has but what sounds at once.
func (r result) needs(without string) string {
	if n := byEar(&r.Demand); n != nil {
		return fmt.Sprintf("Needs %s%s.", unit.Count(*n, "voice"), without)
	}
	return fmt.Sprintf("At its peak %s%s, %d with tails.", unit.Count(r.Demand.Pedal, "voice"), without, r.Demand.Audible)
}

// content tells whether nothing is lost that anybody would hear.
func (r result) content() bool { return r.Damaged == 0 && r.LostGateS == 0 && !r.lossHeard() }

// faults are what plays wrong, and how many notes are hurt beside that.
func (r result) faults() faults {
	return faults{r.NoJack, r.WrongPitch, r.unheard(), r.OldReadings, r.Damaged}
}

// then says how many voices are enough, and what tries fixes where the head does not.
func (r result) then() string {
	if r.content() {
		return ""
	}
	text := r.enough()
	if first, _ := firstMend(r.content(), r.faults()); first != "" {
		text += triesFixes
	}
	return strings.TrimSuffix(text, " ")
}

// enough says how many voices are.
func (r result) enough() string {
	d := &r.Demand
	var enough []string
	switch ear := byEar(d); {
	case ear != nil && *ear > d.Voices:
		enough = append(enough, unit.Count(*ear, "voice")+" leave no loss to hear")
	case r.Heard != nil:
	default:
		if r.Damaged > 0 && r.Waited == 0 && d.Pedal > d.Voices {
			enough = append(enough, unit.Count(d.Pedal, "voice")+" play every note whole")
		}
		if r.Endings[study.TailCutOtherKey] > 0 && d.Audible > d.Voices {
			voices := unit.Count(d.Audible, "voice")
			if len(enough) > 0 {
				voices = strconv.Itoa(d.Audible)
			}
			enough = append(enough, voices+" let every tail ring out")
		}
	}
	if len(enough) == 0 {
		return ""
	}
	return strings.Join(enough, ", ") + ". "
}

// faults are what needs another fix than voices and rules.
type faults struct {
	noJack      []string
	wrongPitch  []contract.WrongPitch
	unplayed    unplayed
	oldReadings []string
	hurt        int // notes that are cut short or dropped
}

// mostName is how many characters of a part's name a line of the head has room for.
const mostName = 14

// mend is what to do about a fault, and its effort. Shifts are the semitones by which it
// transposes parts, by name; nil where it does not.
type mend struct {
	effort, text string
	brief        string // the text in fewer words, where there are some
	shifts       map[string]int
}

// firstFix stands before what to try first, in replay as in size.
const firstFix = "First fix: "

// firstMend says what stands first, before any fix that is tried, where only faults are
// known; content: nothing else needs a fix. Brief is the same in fewer words, where there are
// some. Both are empty for nothing.
func firstMend(content bool, f faults) (text, brief string) {
	before, _ := f.around(content)
	if len(before) == 0 {
		return "", ""
	}
	if m := before[0]; m.brief != "" {
		brief = firstFix + m.brief + "."
	}
	return firstFix + before[0].text + ".", brief
}

// around are what to do before what saves notes from being cut short or dropped, and
// after it: first what plugging mends, then what mends most notes. Where no note is
// hurt, all of it comes first but for drums that no part plays; where nothing else needs a
// fix and all play their pitch, those too.
func (f faults) around(content bool) (before, after []mend) {
	if len(f.noJack) > 0 {
		before = append(before, mend{effort: "wiring", text: "give " + unit.First(f.noJack, 1) + " a jack"})
	}
	wrong := 0
	for i := range f.wrongPitch {
		wrong += f.wrongPitch[i].Notes
	}
	if pitch := f.pitch(); pitch.text != "" && wrong > f.hurt {
		before = append(before, pitch)
	} else if pitch.text != "" {
		after = append(after, pitch)
	}
	drums := contract.DrumsAlone(f.unplayed.list)
	if !f.unplayed.none() && !drums {
		after = append(after, mend{effort: "setting", text: f.unplayed.part(), brief: f.unplayed.brief()})
	}
	if len(f.oldReadings) > 0 {
		after = append(after, mend{effort: "wiring", text: "measure " + unit.First(f.oldReadings, 1) + " again"})
	}
	if f.hurt == 0 {
		before, after = append(before, after...), nil
	}
	if drums {
		after = append(after, mend{effort: "setting", text: f.unplayed.part() + ", if it is not drums"})
	}
	if content && wrong == 0 {
		before, after = append(before, after...), nil
	}
	return before, after
}

// pitch is what to do about notes at the wrong pitch: transpose parts, if that mends more notes
// than it moves besides, as the search for fixes counts; else play the part with the most such
// notes on a wider range or with another key at 0 V. It has no text for none of these.
func (f faults) pitch() mend {
	parts := slices.Clone(f.wrongPitch)
	slices.SortStableFunc(parts, func(a, b contract.WrongPitch) int { return cmp.Compare(b.Notes, a.Notes) })
	octaves := func(w contract.WrongPitch) int {
		if w.Range.OctavesToFit == nil {
			return 0
		}
		return *w.Range.OctavesToFit
	}
	m, spare := mend{effort: "playing", shifts: map[string]int{}}, 0 // notes that are mended beyond those that are moved
	for _, alone := range []bool{true, false} {                      // what pays by itself, then what the others pay for
		for _, w := range parts {
			more := 2*w.Notes - w.Of
			if n := octaves(w); n != 0 && m.shifts[w.Part] == 0 && (more > 0 || !alone && spare+more > 0) {
				m.shifts[w.Part], spare = 12*n, spare+more
			}
		}
	}
	var changes []contract.FixChange
	for _, w := range f.wrongPitch {
		if by := m.shifts[w.Part]; by != 0 {
			name := yield(w.Part, utf8.RuneCountInString(w.Part)-mostName)
			changes = append(changes, contract.FixChange{Kind: "transpose", Part: &name, Semitones: by, Number: by})
		}
	}
	if len(changes) > 0 {
		if m.text = changesOf(changes, nil); len(changes) > 1 {
			m.brief = fmt.Sprintf("transpose %d parts by octaves", len(changes))
		}
		return m
	}
	for _, w := range parts {
		r := w.Range
		switch {
		case octaves(w) == 0:
		case r.ZeroKey != nil:
			r.OctavesToFit = nil // which moves more notes than it mends
		default:
			continue
		}
		m = mend{effort: "wiring", text: intoRange(yield(w.Part, utf8.RuneCountInString(w.Part)-mostName), &r)}
		m.brief, _, _ = strings.Cut(m.text, ", ")
		return m
	}
	return mend{}
}
