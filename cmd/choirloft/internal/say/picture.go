package say

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"choirloft/alloc/study"
	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/profiles/unit"
)

// Listening says that what is heard of a song is still being worked out.
const Listening = "Listening. What you would hear of the losses comes in a moment."

// Picture says what a picture of a song shows, in a sentence or two: what you would hear
// missing of the losses that it shows, nil for all, and the worst of it. Bars are the first and the
// last that it shows; 0 where they need no name. Together tells that a difference is heard there.
func Picture(r *contract.Result, l *contract.Lanes, shows func(*contract.Loss) bool, together bool, firstBar, lastBar int) string {
	all := shows == nil
	if all {
		shows = func(*contract.Loss) bool { return true }
	}
	text := pictured(r, l, shows, together)
	if faults := faultsShown(r, shows, all, l.MiddleC); len(faults) > 0 {
		if text == nothingLost {
			text = "No note or tail is cut."
		}
		text += " " + strings.Join(faults, " ")
	}
	switch {
	case firstBar == 0:
		return text
	case firstBar == lastBar:
		return fmt.Sprintf("Bar %d: %s", firstBar, lower(text))
	}
	return fmt.Sprintf("Bars %d to %d: %s", firstBar, lastBar, lower(text))
}

// faultsShown counts what stands beside the losses that a picture shows, in a sentence or more: notes dropped, stolen
// at once, at the wrong pitch, and, in a picture of all, unplayed.
func faultsShown(r *contract.Result, shows func(*contract.Loss) bool, all bool, middleC int) (sentences []string) {
	count := func(is func(*contract.Loss) bool) (n int) {
		for i := range r.Losses {
			if l := &r.Losses[i]; shows(l) && is(l) {
				n++
			}
		}
		return n
	}
	wrong, unplayedNotes, from := count((*contract.Loss).WrongPitch), 0, ""
	if all { // a note that no part plays has no place in a picture, nor has one at a wrong pitch that nobody hears
		wrong, unplayedNotes = max(wrong, r.WrongPitches()), r.Flags.Unmapped
	}
	if channels := (unplayed{r.UnmappedKeys, middleC}); !channels.none() {
		text, _ := channels.channels()
		from = " (" + text + ")"
	}
	var list []string
	for _, f := range []struct {
		notes      int
		what, more string
	}{
		{count(dropped), "dropped", ""},
		{count(atOnce), "stolen at once", ""},
		{wrong, "at the wrong pitch", wrongWhere(r, middleC)},
		{unplayedNotes, "unplayed" + from, ""},
	} {
		switch {
		case f.notes == 0:
			continue
		case len(list) == 0:
			list = append(list, unit.Count(f.notes, "note")+" "+f.what)
		default:
			list = append(list, fmt.Sprintf("%d %s", f.notes, f.what))
		}
		if f.more != "" {
			sentences, list = append(sentences, strings.Join(list, ", ")+", "+f.more+"."), nil
		}
	}
	if len(list) > 0 {
		sentences = append(sentences, strings.Join(list, ", ")+".")
	}
	return sentences
}

// dropped tells whether a note was dropped.
func dropped(l *contract.Loss) bool {
	return l.Ending == contract.EndingName(study.Dropped) && !l.Flagged()
}

// nothingLost is said of a song that plays as it was written.
const nothingLost = "Nothing is lost."

// wrongWhere says which part plays the notes at the wrong pitch, and at which end of its range: bass below C2 (36).
// It is empty where several parts do.
func wrongWhere(r *contract.Result, middleC int) string {
	if len(r.WrongPitch) != 1 {
		return ""
	}
	w := &r.WrongPitch[0]
	return w.Part + " " + outside(&w.Range, middleC)
}

// atOnce tells whether a note was stolen at once.
func atOnce(l *contract.Loss) bool {
	return l.Ending == contract.EndingName(study.BornCut) && !l.Flagged()
}

func pictured(r *contract.Result, on *contract.Lanes, shows func(*contract.Loss) bool, together bool) string {
	cut := 0
	for i := range r.Losses {
		if l := &r.Losses[i]; shows(l) && !l.Flagged() {
			cut++
		}
	}
	faint, plain, notes := 0, 0, 0
	var worst *contract.Loss
	if r.Heard != nil {
		for _, at := range r.MostHeard() {
			l := &r.Losses[at]
			if !shows(l) || l.WrongPitch() {
				continue
			}
			if faint++; faint == 1 {
				worst = l
			}
			if l.Plain() {
				plain++
			}
			if l.Plain() && !l.TailOnly() {
				notes++
			}
		}
	}
	switch {
	case r.Heard == nil && cut == 0:
		return nothingLost
	case r.Heard == nil:
		return "Losses: " + strconv.Itoa(cut) + "; what you would hear of them is not known."
	case faint == 0 && cut == 0:
		return nothingLost
	case faint == 0 && together:
		return "You would hear losses, but only together."
	case faint == 0:
		return "You would hear none of " + losses(cut) + "."
	}
	only := ""
	if plain > 0 && notes == 0 {
		only = onlyTails(plain)
	}
	alone, to := len(r.Parts) == 1, tailOf(worst)
	if worst.ByPart != nil && worst.ByKeyName != nil && worst.ByKey != nil {
		to += fmt.Sprintf(" to %s (%d)", partKey(*worst.ByPart, *worst.ByKeyName, alone), *worst.ByKey)
		if atOnce(worst) {
			to = " at once" + to // no tail
		}
	} else if dropped(worst) {
		to = " dropped"
	}
	return fmt.Sprintf("%s%s. Worst: %s, %s (%d)%s, %s.", youHearSo(faint, plain), only, place(worst, on), partKey(worst.Part, worst.KeyName, alone),
		worst.Key, to, heardDB(worst.HeardDB))
}

// place is where in a song a loss is, as a player counts.
func place(l *contract.Loss, on *contract.Lanes) string {
	return unit.Beat(on.Counted(l.BarNumber, l.Beat))
}

// onlyTails says that plain losses are cut tails, and of no note any more.
func onlyTails(plain int) string {
	if plain == 1 {
		return " (only a tail)"
	}
	return " (only tails)"
}

// tailOf follows the name of a note that lost only its tail.
func tailOf(l *contract.Loss) string {
	if l.TailOnly() {
		return " tail"
	}
	return ""
}

// Where says in which bars of a long song a loss is plain, and which of them are drawn;
// in a song without bars these are seconds.
func Where(r *contract.Result, s *contract.Scenes, bars bool) []string {
	what := measure(bars)
	var lines []string
	switch runs := unit.Runs(s.Plain); {
	case len(runs) == 0:
		lines = append(lines, "No loss is plain, so none is drawn large.")
		order := r.MostHeard()
		if at := slices.IndexFunc(order, func(at int) bool { return !r.Losses[at].WrongPitch() }); at >= 0 {
			bar := r.Losses[order[at]].BarNumber
			lines = append(lines, fmt.Sprintf("--from %d --to %d draws the worst.", bar, bar))
		}
	case len(runs) <= 6:
		lines = append(lines, fmt.Sprintf("Plain in %s %s.", strings.TrimPrefix(unit.Count(len(s.Plain), what), strconv.Itoa(len(s.Plain))+" "), unit.List(spans(runs))))
	default:
		lines = append(lines, fmt.Sprintf("Plain in %d of %s, most in %s.", len(s.Plain), unit.Count(s.Bars, what), SceneBars(s.Most(), bars)))
	}
	if last := len(lines) - 1; s.Together > 0 && s.Together == len(s.Plain) {
		lines[last] += " There only several losses together are plain."
	} else if s.Together > 0 {
		lines[last] += fmt.Sprintf(" In %d of them only several losses together are plain.", s.Together)
	}
	switch n := len(s.Left); {
	case n > 0 && len(s.List) == 1:
		lines = append(lines, fmt.Sprintf("Below are %s; a .pdf or .html has more.", SceneBars(&s.List[0], bars)))
	case n > 0:
		lines = append(lines, fmt.Sprintf("These are the %d passages that are heard most. %s heard less: --from %d --to %d draws the next.", len(s.List), more(n), s.Left[0].FirstBar, s.Left[0].LastBar))
	}
	return lines
}

// measure is what a song without bars is counted in instead of them.
func measure(bars bool) string {
	if bars {
		return "bar"
	}
	return "second"
}

// more begins a sentence with how many others are something.
func more(n int) string {
	if n == 1 {
		return "1 more is"
	}
	return fmt.Sprintf("%d more are", n)
}

// spans writes runs of numbers with a word: 4 to 7.
func spans(runs []string) []string {
	out := make([]string, len(runs))
	for i, run := range runs {
		out[i] = strings.Replace(run, "-", " to ", 1)
	}
	return out
}

// SceneBars names the bars of a scene.
func SceneBars(s *contract.Scene, bars bool) string {
	what := measure(bars)
	if s.FirstBar == s.LastBar {
		return fmt.Sprintf("%s %d", what, s.FirstBar)
	}
	return fmt.Sprintf("%ss %d to %d", what, s.FirstBar, s.LastBar)
}

// LossLabel names a loss in a picture in as many words as there is room for, the longest
// first: the note, whether only its tail, to whom its voice went, and how much you would hear of it.
// In a song of one part alone that is not named.
func LossLabel(l *contract.Loss, alone bool) (labels []string) {
	note, heard := partKey(l.Part, l.KeyName, alone), ""
	if l.HeardOne != nil && l.HeardDB != nil {
		heard = ", " + heardDB(l.HeardDB)
	}
	if l.Ending == contract.EndingName(study.LateStart) {
		return []string{note + " began late" + heard, note + " late", l.KeyName}
	}
	lost := note + tailOf(l)
	if l.ByPart != nil && l.ByKeyName != nil {
		by := " to " + partKey(*l.ByPart, *l.ByKeyName, alone) + heard
		if atOnce(l) {
			labels = append(labels, note+" at once"+by)
		}
		labels = append(labels, lost+by)
	}
	if heard != "" {
		labels = append(labels, lost+heard)
	}
	if l.TailOnly() {
		labels = append(labels, lost)
	}
	return append(labels, note, l.KeyName)
}

// LossOnLane is the longest of [LossLabel], with where it stands on the lane of a voice, from 1; 0 for a dropped note: 9.1 K1: pad D3 tail to bass C2, 6.5 dB.
func LossOnLane(l *contract.Loss, on *contract.Lanes, voice int) string {
	lane := "dropped"
	if voice > 0 {
		lane = on.Voices[voice-1].Name
	}
	return place(l, on) + " " + lane + ": " + LossLabel(l, len(on.Parts) == 1)[0]
}

// Large says which lines below a strip of a song are what: there are scenes that are drawn large, or others.
func Large(s *contract.Scenes) string {
	switch {
	case len(s.List) == 0:
		return ""
	case len(s.Left) == 0:
		return "Line: drawn large."
	}
	return "Line: drawn large. Dashes: plain losses that are not."
}

// LossList is the heading of a list of so many plain losses of all that the lanes have no
// room for.
func LossList(listed, all int) string {
	if listed < all {
		return fmt.Sprintf("Plain losses without room above, the worst %d of %d:", listed, all)
	}
	return "Plain losses without room above, the worst first:"
}

// partKey names a note by its part and its key, or where there is no other part by that alone.
func partKey(part, key string, alone bool) string {
	if alone {
		return key
	}
	return part + " " + key
}

// lower begins a text without a capital.
func lower(s string) string { return strings.ToLower(s[:1]) + s[1:] }
