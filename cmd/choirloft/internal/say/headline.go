package say

import (
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"choirloft/alloc/study"
	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/profiles/unit"
)

// headWidth is how long a line of the head is at most, where it can be: the width
// of a terminal that does not say its own.
const headWidth = 80

// head is what is read first, a line each: what is lost; what plays wrong; how
// many voices are needed, and what to try; what all of it rests on. Nothing that
// is lost is left out of the first two.
func (r result) head() []string {
	return notEmpty([]string{r.lossHead(), cutOffLine(&r.Song), r.wrongHead(), r.needHead(), r.basis()})
}

// lossHead says how many notes are dropped and cut short. A long title yields to
// that.
func (r result) lossHead() string {
	rest := fmt.Sprintf(" on %s: ", unit.Count(r.Demand.Voices, "voice"))
	switch n := r.Flags.Unmapped; {
	case r.Song.Notes == 0:
		rest += nothingToPlay(n)
	case n > 0:
		rest = fmt.Sprintf(": %d of %s %s unplayed; %s.", n, unit.Count(n+r.Song.Notes, "note"), are(n), r.othersFate())
		if leastName+utf8.RuneCountInString(rest) > headWidth { // as headlines go, without their verbs
			rest = strings.NewReplacer(" are unplayed", " unplayed", " is unplayed", " unplayed", " others are ", " others ", " other is ", " other ").Replace(rest)
		}
	default:
		rest += r.fate() + "."
	}
	name := songName(&r.Song)
	return yield(name, utf8.RuneCountInString(name+rest)-headWidth) + rest
}

// leastName is what is left of a name, in characters.
const leastName = 8

// yield cuts so many characters off a name, and leaves it [leastName].
func yield(name string, over int) string {
	all := []rune(name)
	most := max(leastName, len(all)-over)
	if over <= 0 || len(all) <= most {
		return name
	}
	return strings.TrimRight(string(all[:most-1]), " '’.,-_(") + "…"
}

// wrongHead says in short what would be heard, and what plays wrong; where nobody
// listened, how many tails are cut. Unplayed notes are in the first line.
func (r result) wrongHead() string {
	var wrong []string
	add := func(n int, thing, what string) {
		if n > 0 {
			wrong = append(wrong, unit.Count(n, thing)+" "+what)
		}
	}
	add(r.WrongPitches(), "note", "at the wrong pitch")
	if r.Heard == nil {
		add(len(r.NoJack), "voice", "without a jack")
	}
	add(len(r.OldReadings), "voice", "with old readings")
	if r.Heard != nil {
		switch {
		case len(wrong) > 0:
		case r.Dealt:
			wrong = []string{"pitches are as they were dealt"}
		default:
			wrong = []string{"no pitch is wrong"}
		}
		return youHear(&r.Heard.HeardFigures) + ifPlugged(len(r.NoJack)) + "; " + strings.Join(wrong, ", ") + "."
	}
	add(r.Endings[study.TailCutOtherKey], "tail", "cut")
	switch {
	case r.Song.Notes > 0 && len(wrong) == 0:
		if r.Dealt {
			return "No tail is cut; pitches are as they were dealt."
		}
		if r.Flags.Unmapped > 0 {
			return "No tail is cut, no pitch is wrong."
		}
		return "No tail is cut, no pitch is wrong, no note is unplayed."
	case r.Song.Notes > 0 && r.Endings[study.TailCutOtherKey] == 0:
		wrong = append(wrong, "no tail cut")
	case len(wrong) == 0:
		return ""
	}
	return strings.Join(wrong, ", ") + "."
}

// wrong says what plays wrong or not at all, part by part.
func (r result) wrong() []string {
	lines := append([]string{}, noJack(r.NoJack), oldReadings(r.OldReadings))
	if r.Song.Notes > 0 {
		lines = slices.Concat(wrongPitches(r.WrongPitch, r.middleC), r.monoChords(), []string{r.unheard().sentence(r.Flags.Unmapped)}, lines)
	}
	return notEmpty(lines)
}

// monoChords says which mono parts play chords, but for those whose notes stand among the losses: they are mono in
// this run alone.
func (r result) monoChords() []string {
	return monoChords(slices.DeleteFunc(slices.Clone(r.MonoChords), func(m contract.MonoChords) bool {
		return slices.ContainsFunc(r.Losses, func(l contract.Loss) bool {
			return l.Part == m.Part && l.HeardOne != nil && l.Flag != nil && *l.Flag == contract.FlagLeftOut
		})
	}))
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

// othersFate says the same of the notes that some part plays.
func (r result) othersFate() string {
	dropped := r.Endings[study.Dropped]
	cut := r.Damaged - dropped
	switch {
	case r.Damaged == 0 && r.tailsAlone():
		return "the rest lose only tails"
	case r.Damaged == 0:
		return "no other is cut short or dropped"
	case dropped == 0:
		return fmt.Sprintf("%s %s cut short, none dropped", unit.Count(cut, "other"), are(cut))
	case cut == 0:
		return fmt.Sprintf("%s %s dropped, none cut short", unit.Count(dropped, "other"), are(dropped))
	}
	return fmt.Sprintf("%s %s dropped, %d cut short", unit.Count(dropped, "other"), are(dropped), cut)
}

// tailsAlone tells whether all that is heard of the losses is of tails.
func (r result) tailsAlone() bool {
	if r.Heard == nil {
		return r.Endings[study.TailCutOtherKey] > 0
	}
	return len(r.Heard.Order) > 0 && !slices.ContainsFunc(r.Heard.Order, func(at int) bool {
		l := &r.Losses[at]
		return !l.WrongPitch() && (l.Flagged() || l.Ending != contract.EndingName(study.TailCutOtherKey) && l.Ending != contract.EndingName(study.TailCutOwnKey))
	})
}

// fate says how many notes are dropped and cut short, the worse first.
func (r result) fate() string {
	dropped := r.Endings[study.Dropped]
	cut, all := r.Damaged-dropped, unit.Count(r.Song.Notes, "note")
	short := are(cut) + " cut short"
	if cut > 0 && r.Hurt() == dropped { // overlaps alone
		short = "cut short by up to " + unit.Span(r.longestTrim())
	}
	switch {
	case r.Damaged == 0:
		return "none of " + all + " is cut short or dropped"
	case dropped == 0:
		return fmt.Sprintf("%d of %s %s, none dropped", cut, all, short)
	case cut == 0:
		return fmt.Sprintf("%d of %s %s dropped, none cut short", dropped, all, are(dropped))
	}
	return fmt.Sprintf("%d of %s %s dropped, %d %s", dropped, all, are(dropped), cut, strings.TrimPrefix(short, are(cut)+" "))
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

// summary is what is lost and what plays wrong, as one text.
func (r result) summary() string {
	return strings.Join(notEmpty([]string{r.lossHead(), cutOffLine(&r.Song), r.wrongHead()}), " ")
}
