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
	first := firstMend(r.content(), r.faults().around)
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
	case first == "" && r.content():
		first = "Nothing needs a fix."
	case first == "":
		first = triesFixes
	}
	return r.inALine(first)
}

// inALine sets the voices needed before a sentence: in fewer words where a line has no
// room for all, since what rests on it must stay within four.
func (r result) inALine(first string) string {
	if r.Flags.Unmapped == 0 {
		return r.needs("") + " " + first
	}
	brief := fmt.Sprintf(" without %d unplayed", r.Flags.Unmapped)
	short := first
	channels := map[string]bool{}
	for i := range r.UnmappedKeys {
		channels[r.UnmappedKeys[i].Channel] = true
	}
	if len(r.from()) > 1 && strings.Contains(first, "a part for ") {
		short = "First fix: parts for " + unit.Count(len(channels), "channel") + "."
	}
	for _, all := range []string{r.needs(" without "+unit.First(r.from(), 1)) + " " + first, r.needs(brief) + " " + first, r.needs(brief) + " " + short} {
		if utf8.RuneCountInString(all) <= headWidth {
			return all
		}
	}
	return r.needs("") + " " + short // the first line has the unplayed notes
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

// from says where the notes come from that no part plays.
func (r result) from() []string { return unplayedFrom(r.UnmappedKeys, r.middleC) }

// content tells whether nothing is lost that anybody would hear.
func (r result) content() bool { return r.Damaged == 0 && r.LostGateS == 0 && !r.lossHeard() }

// faults are what plays wrong, and how many notes are hurt beside that.
func (r result) faults() faults {
	return faults{r.NoJack, r.WrongPitch, r.from(), contract.DrumsAlone(r.UnmappedKeys), r.OldReadings, r.Damaged}
}

// then says how many voices are enough, and what tries fixes where the head does not.
func (r result) then() string {
	if r.content() {
		return ""
	}
	text := r.enough()
	if firstMend(false, r.faults().around) != "" {
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
		enough = append(enough, unit.Count(*ear, "voice")+" leave nothing to hear")
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
	unmapped    []string // where notes come from that no part plays
	drums       bool     // it is channel 10 alone: perhaps it is left out on purpose
	oldReadings []string
	hurt        int // notes that are cut short or dropped
}

// mostName is how many characters of a part's name a line of the head has room for.
const mostName = 14

// mend is what to do about a fault, and its effort.
type mend struct{ effort, text string }

// firstMend says what stands first, before any fix that is tried, where what is around
// these is known; content: nothing else needs a fix. It is empty for nothing.
func firstMend(content bool, around func() (before, after []mend)) string {
	before, after := around()
	if content {
		before = append(before, after...)
	}
	if len(before) == 0 {
		return ""
	}
	return "First fix: " + before[0].text + "."
}

// around are what to do before what saves notes from being cut short or dropped, and
// after it: first what plugging mends, then what mends most notes. Where no note is
// hurt, all of it comes first but for drums that no part plays.
func (f faults) around() (before, after []mend) {
	if len(f.noJack) > 0 {
		before = append(before, mend{"wiring", "give " + unit.First(f.noJack, 1) + " a jack"})
	}
	if len(f.wrongPitch) > 0 {
		worst := slices.MaxFunc(f.wrongPitch, func(a, b contract.WrongPitch) int { return cmp.Compare(a.Notes, b.Notes) })
		pitch := mend{"playing", intoRange(yield(worst.Part, utf8.RuneCountInString(worst.Part)-mostName), &worst.Range)}
		if n := worst.Range.OctavesToFit; n == nil || *n == 0 {
			pitch.effort = "wiring"
		}
		if worst.Notes > f.hurt {
			before = append(before, pitch)
		} else {
			after = append(after, pitch)
		}
	}
	if len(f.unmapped) > 0 && !f.drums {
		after = append(after, mend{"setting", "a part for " + unit.First(f.unmapped, 1)})
	}
	if len(f.oldReadings) > 0 {
		after = append(after, mend{"wiring", "measure " + unit.First(f.oldReadings, 1) + " again"})
	}
	if f.hurt == 0 {
		before, after = append(before, after...), nil
	}
	if f.drums {
		after = append(after, mend{"setting", "a part for " + unit.First(f.unmapped, 1) + ", if it is not drums"})
	}
	return before, after
}
