package say

import (
	"fmt"
	"strconv"
	"strings"

	"choirloft/alloc/study"
	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/profiles/unit"
)

// Picture says what a picture of a song shows, in a sentence or two: what you would hear
// missing of the losses that it shows, and the worst of it. Bars are the first and the
// last that it shows; 0 where it shows all.
func Picture(r *contract.Result, shows func(*contract.Loss) bool, firstBar, lastBar int) string {
	text := pictured(r, shows)
	wrong := 0
	for i := range r.Losses {
		if l := &r.Losses[i]; l.WrongPitch() && shows(l) {
			wrong++
		}
	}
	if wrong > 0 {
		text += " At the wrong pitch: " + unit.Count(wrong, "note") + "."
	}
	switch {
	case firstBar == 0:
		return text
	case firstBar == lastBar:
		return fmt.Sprintf("Bar %d: %s", firstBar, lower(text))
	}
	return fmt.Sprintf("Bars %d to %d: %s", firstBar, lastBar, lower(text))
}

func pictured(r *contract.Result, shows func(*contract.Loss) bool) string {
	cut := 0
	for i := range r.Losses {
		if l := &r.Losses[i]; shows(l) && !l.Flagged() {
			cut++
		}
	}
	faint, plain := 0, 0
	var worst *contract.Loss
	if r.Heard != nil {
		for _, at := range r.Heard.Order { // the worst first
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
		}
	}
	switch {
	case r.Heard == nil && cut == 0:
		return "Nothing is lost."
	case r.Heard == nil:
		return "Losses: " + strconv.Itoa(cut) + "; what you would hear of them is not known."
	case faint == 0 && cut == 0:
		return "Nothing is lost."
	case faint == 0:
		return "You would hear none of " + losses(cut) + "."
	}
	return fmt.Sprintf("%s. Worst: %s, %s %s (%d), %s.", youHearSo(faint, plain), unit.Beat(worst.BarNumber, worst.Beat), worst.Part, worst.KeyName,
		worst.Key, heardDB(worst.HeardDB))
}

// LossLabel names a loss in a picture in as many words as there is room for, the longest
// first: the note, to whom its voice went, and how much you would hear of it.
func LossLabel(l *contract.Loss) (labels []string) {
	note, heard := l.Part+" "+l.KeyName, ""
	if l.HeardOne != nil && l.HeardDB != nil {
		heard = ", " + heardDB(l.HeardDB)
	}
	if l.Ending == contract.EndingName(study.LateStart) {
		return []string{note + " began late" + heard, note + " late", l.KeyName}
	}
	if l.ByPart != nil && l.ByKeyName != nil {
		labels = append(labels, note+" to "+*l.ByPart+" "+*l.ByKeyName+heard)
	}
	if heard != "" {
		labels = append(labels, note+heard)
	}
	return append(labels, note, l.KeyName)
}

// lower begins a text without a capital.
func lower(s string) string { return strings.ToLower(s[:1]) + s[1:] }
