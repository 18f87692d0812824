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
		lines = append(lines, wrongPitchLines(r.WrongPitch, r.middleC)...)
		lines = append(lines, unplayedLine(r.Flags.Unmapped, r.UnmappedFrom))
	}
	lines = append(lines, noJackLine(r.NoJack), oldReadingsLine(r.OldReadings))
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

// songName is the title of a song, or its file without folders.
func songName(s *contract.Song) string {
	if s.Title != nil {
		return *s.Title
	}
	return songBase(s.File)
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

// plays is the verb for a number of notes.
func plays(n int) string {
	if n == 1 {
		return "plays"
	}
	return "play"
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

// mostWrong is how many parts with wrong pitches have a sentence of their own.
const mostWrong = 2

// wrongPitchLines say which notes sound at another pitch than they ask for.
func wrongPitchLines(wrong []contract.WrongPitch, middleC int) (lines []string) {
	if len(wrong) > mostWrong {
		sum, parts := 0, make([]string, len(wrong))
		for i, w := range wrong {
			sum, parts[i] = sum+w.Notes, fmt.Sprintf("%d of %s", w.Notes, w.Part)
		}
		return []string{fmt.Sprintf("%s %s at the wrong pitch, out of the CV range: %s.", unit.Count(sum, "note"), plays(sum), unit.Several(parts))}
	}
	for _, w := range wrong {
		lines = append(lines, fmt.Sprintf("%s %s at the wrong pitch: %s.", unit.Count(w.Notes, w.Part+" note"), plays(w.Notes), outOfRange(&w.Range, middleC)))
	}
	return lines
}

// outOfRange says where notes leave a range.
func outOfRange(w *contract.Range, middleC int) string {
	key := func(k int) string { return fmt.Sprintf("%s (%d)", contract.KeyName(k, middleC), k) }
	if w.WindowLowKey == nil {
		return "out of the CV range"
	}
	low, high := *w.WindowLowKey, *w.WindowHighKey
	switch under, over := w.LowKey < low, w.HighKey > high; {
	case under && over:
		return fmt.Sprintf("below %s or above %s, the ends of the CV range", key(low), key(high))
	case under:
		return "below " + key(low) + ", the lowest in range"
	case over:
		return "above " + key(high) + ", the highest in range"
	}
	return fmt.Sprintf("bend or detune leads out of the CV range, %s to %s", key(low), key(high))
}

// unplayedLine says how many notes no part plays, and their channels.
func unplayedLine(n int, from []string) string {
	if n == 0 {
		return ""
	}
	verb := map[bool]string{true: "is", false: "are"}[n == 1]
	text := fmt.Sprintf("%s %s not played: no part plays %s", unit.Count(n, "note"), verb, map[bool]string{true: "it", false: "them"}[n == 1])
	if len(from) > 0 {
		text += ", on " + unit.Several(from)
	}
	return text + "."
}

// noJackLine names voices that nothing drives.
func noJackLine(names []string) string {
	if len(names) == 0 {
		return ""
	}
	return fmt.Sprintf("%s no jack for pitch or gate, so %s silent: %s.", countHave(len(names), "voice"),
		map[bool]string{true: "it stays", false: "they stay"}[len(names) == 1], unit.Several(names))
}

// countHave counts things that have something.
func countHave(n int, what string) string {
	if n == 1 {
		return "1 " + what + " has"
	}
	return unit.Count(n, what) + " have"
}

// oldReadingsLine names voices whose tuning was measured long before the rest.
func oldReadingsLine(names []string) string {
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
