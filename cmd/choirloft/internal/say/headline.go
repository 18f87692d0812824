package say

import (
	"fmt"
	"strings"

	"choirloft/alloc/study"
	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/profiles/unit"
)

// headline is the answer: first what was asked, then all that is wrong that
// counts, the worst first. Nothing that is lost is left out of it.
func (r result) headline() []string {
	head := fmt.Sprintf("%s on %s: ", songName(&r.Song), unit.Count(r.Demand.Voices, "voice"))
	lines := []string{head + nothingToPlay(r.Flags.Unmapped)}
	if r.Song.Notes > 0 {
		lines[0] = head + r.fate() + "."
		lines = append(lines, wrongPitches(r.WrongPitch, r.middleC)...)
		lines = append(lines, unplayed(r.Flags.Unmapped, r.UnmappedFrom))
	}
	lines = append(lines, noJack(r.NoJack), oldReadings(r.OldReadings))
	if r.Song.Notes > 0 {
		lines = append(lines, r.tailLine())
	}
	return notEmpty(lines)
}

// notEmpty leaves out empty sentences.
func notEmpty(lines []string) (kept []string) {
	for _, l := range lines {
		if l != "" {
			kept = append(kept, l)
		}
	}
	return kept
}

// fate says how many notes are dropped and cut short, the worse first.
func (r result) fate() string {
	dropped := r.Endings[study.Dropped]
	cut, all := r.Damaged-dropped, unit.Count(r.Song.Notes, "note")
	short := "cut short"
	if cut > 0 && r.Hurt() == dropped { // overlaps alone
		short += " by up to " + unit.Span(r.longestTrim())
	}
	switch {
	case r.Damaged == 0:
		return "none of " + all + " is cut short or dropped"
	case dropped == 0:
		return fmt.Sprintf("%d of %s %s %s, none dropped", cut, all, are(cut), short)
	case cut == 0:
		return fmt.Sprintf("%d of %s %s dropped, none cut short", dropped, all, are(dropped))
	}
	return fmt.Sprintf("%d of %s %s dropped, %d %s", dropped, all, are(dropped), cut, short)
}

// are is the verb for a number.
func are(n int) string {
	if n == 1 {
		return "is"
	}
	return "are"
}

// longestTrim is the most that an overlap was trimmed by, in seconds.
func (r result) longestTrim() float64 {
	most := 0.0
	for i := range r.Losses {
		if l := &r.Losses[i]; l.Ending == contract.EndingName(study.OverlapOnly) {
			most = max(most, l.LostS)
		}
	}
	return most
}

// countHave counts things that have something.
func countHave(n int, what string) string {
	if n == 1 {
		return "1 " + what + " has"
	}
	return unit.Count(n, what) + " have"
}

// oldReadings names voices whose tuning was measured long before the rest.
func oldReadings(names []string) string {
	if len(names) == 0 {
		return ""
	}
	return fmt.Sprintf("%s old readings, over 90 days before the newest: %s.", countHave(len(names), "voice"), unit.Several(names))
}

// tailLine says how many tails were cut so that it can be heard.
func (r result) tailLine() string {
	n := r.Endings[study.TailCutOtherKey]
	switch n {
	case 0:
		return "No audible tail is cut by another note."
	case 1:
		return "1 audible tail is cut by another note, at " + unit.Level(r.LoudestCutDB) + "."
	}
	return fmt.Sprintf("%d audible tails are cut by other notes, the loudest at %s.", n, unit.Level(r.LoudestCutDB))
}

// summary is the headline as one text.
func (r result) summary() string { return strings.Join(r.headline(), " ") }
