package say

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/profiles/unit"
)

// warned are the kinds of changes that are warned of, in this order: what a
// player would think of. Other rules are many, and in the JSON.
var warned = []string{"trim", "lift", "shorten", "doubles", "unison", "release", "tails", "reserve", "banks"}

// worseLine warns of changes that make things worse, one of a kind.
func (s size) worseLine(most int) string {
	var words []string
	for _, kind := range warned {
		at := slices.IndexFunc(s.Worse, func(f contract.Fix) bool { return f.Kinds[0] == kind })
		if at >= 0 && len(words) < most {
			words = append(words, changesText(&s.Worse[at])+". "+s.worseWords(&s.Worse[at]))
		}
	}
	if len(words) == 0 {
		return ""
	}
	return "Makes it worse: " + strings.Join(words, ". Also worse: ") + "."
}

// worseWords says for how long something is heard to be missing then.
func (s size) worseWords(f *contract.Fix) string {
	if m := f.After.Missing; m != nil {
		return fmt.Sprintf("You would hear something missing for %s, plainly for %s", unit.Span(m.HeardS), unit.Span(m.PlainS))
	}
	return "That leaves " + costWords(&f.After, &f.Leaves)
}

// costsLine says what fixes that are shown make worse.
func (s size) costsLine(shown []int) string {
	var all []string
	for _, at := range shown {
		f := &s.Fixes[at]
		var words []string
		for i := range f.Costs {
			words = append(words, costText(&f.Costs[i]))
		}
		if len(words) > 0 {
			all = append(all, fmt.Sprintf("fix %d, %s", f.Number, unit.List(words)))
		}
	}
	if len(all) == 0 {
		return ""
	}
	return "* What it costs: " + strings.Join(all, "; ") + "."
}

func costText(c *contract.FixCost) string {
	switch c.What {
	case "heard":
		return unit.Tenths(c.By) + " dB·s heard"
	case "longer":
		return unit.Span(c.By) + " longer heard"
	case "lost", "late":
		return unit.Span(c.By) + " " + c.What
	case "wrong":
		return unit.Count(int(c.By), "note") + " at the wrong pitch"
	case "moved":
		return unit.Count(int(c.By), "note") + " moved by octaves"
	}
	return unit.Count(int(c.By), "note") + " " + c.What
}

// harmsLine says which parts lose more by fixes that are shown.
func (s size) harmsLine(shown []int) string {
	var all []string
	for _, at := range shown {
		f := &s.Fixes[at]
		var words []string
		for _, h := range f.Harms {
			more := unit.Span(h.LostS)
			if h.Notes > 0 {
				more = unit.Count(h.Notes, "note")
			}
			words = append(words, h.Part+" "+more)
		}
		if len(words) > 0 {
			all = append(all, fmt.Sprintf("fix %d costs %s.", f.Number, unit.First(words, 3)))
		}
	}
	if len(all) == 0 {
		return ""
	}
	return "By part: " + strings.Join(all, " ")
}

// setUpsLine says which set-ups keep their banks.
func (s size) setUpsLine(shown []int) string {
	for _, at := range shown {
		if keep := s.Fixes[at].KeepBanks; len(keep) > 0 {
			return SetUpsKeep(keep)
		}
	}
	return ""
}

// SetUpsKeep says that set-ups go on with the banks that they name; empty for none.
func SetUpsKeep(names []string) string {
	switch len(names) {
	case 0:
		return ""
	case 1:
		return "Set-up " + names[0] + " keeps the banks that it names."
	}
	return "Set-ups " + unit.List(names) + " keep the banks that they name."
}

// sharedLine says of the fixes that are shown what comes with the banks that parts move to.
func (s size) sharedLine(shown []int) string {
	for _, at := range shown {
		f := &s.Fixes[at]
		if len(f.Shared) == 0 {
			continue
		}
		var banks, lanes []string
		effort := ""
		for i := range f.Shared {
			x := &f.Shared[i]
			if !slices.Contains(banks, x.Bank) {
				banks = append(banks, x.Bank)
			}
			for _, lane := range x.Lanes {
				if !slices.Contains(lanes, lane) {
					lanes = append(lanes, lane)
				}
			}
			if effort == "" && x.Effort != "setting" {
				effort = x.Part + " on " + x.Bank + " takes " + map[string]string{"sound": "the same sound", "wiring": "other cables"}[x.Effort]
			}
		}
		slices.Sort(banks)
		text := fmt.Sprintf("%d: what moves leaves by the submix of bank %s", f.Number, unit.Choice(banks))
		if len(lanes) > 0 {
			text += " and shares its " + unit.List(lanes)
		}
		return strings.Join(notEmpty([]string{text, effort}), "; ") + "."
	}
	return ""
}

// ladderLine says what is left after each step of the first fix, if it has several.
func (s size) ladderLine() string {
	if len(s.Fixes) == 0 || len(s.Fixes[0].Steps) == 0 {
		return ""
	}
	f := &s.Fixes[0]
	rest := f.Changes
	var steps []string
	for i := range f.Steps {
		n := 1
		for n < len(rest) && sameChange(&rest[n], &rest[0]) {
			n++
		}
		x := &f.Steps[i]
		steps = append(steps, fmt.Sprintf("%s leaves %d lost notes, %s plain", changesOf(rest[:n], f.Purchase), x.Cut+x.Dropped, unit.Span(x.Missing.PlainS)))
		if rest = rest[n:]; len(rest) == 0 {
			break
		}
	}
	return "Step by step: " + strings.Join(steps, "; ") + "."
}

// triedLine says how much was tried, and whether more could be found; in brief no more.
func (s size) triedLine(brief bool) string {
	x := s.Settings
	switch {
	case x == nil || x.Played < 2 && !x.Short:
		return ""
	case x.Played < 2:
		return "The budget ended before a fix was played; a longer --budget plays some."
	}
	of := strconv.FormatFloat(x.Of, 'f', 0, 64)
	if x.Of >= 1e6 {
		of = "more than a million"
	}
	tried := fmt.Sprintf("Played: %d of %s settings", x.Played, of)
	const enough = 2 // per cent
	switch {
	case x.Whole:
		tried = fmt.Sprintf("Played: all %s settings", of)
	case x.FurtherPercent != nil && *x.FurtherPercent < enough:
		tried += fmt.Sprintf("; no further single change gains %d %%", enough)
	case x.Short:
		tried += "; a longer --budget plays more"
	}
	if s.PairsAll > 0 {
		tried += fmt.Sprintf("; %d of %d pairs", s.PairsTried, s.PairsAll)
	}
	if len(s.Fixes) == 0 || brief {
		return tried + "."
	}
	command := "run replay with its flags"
	if slices.ContainsFunc(s.Fixes, func(f contract.Fix) bool { return f.Command == writing }) {
		command += ", or the command it names"
	}
	return tried + ". To check a fix, " + command + "."
}

// FixUntold says why a fix cannot be written into the rig: it is not played by one run, it changes the song, or it moves
// the line of voices alone.
func FixUntold(played, song bool) string {
	switch {
	case !played:
		return "It takes several recordings, which a rig cannot hold. Its command stands in the list."
	case song:
		return "It changes the song, which a rig cannot hold. Change the song itself."
	}
	return "It moves the line of voices alone. Drag that, or take voices out on the Rack view."
}

// Kept says that what was tried is in the rig's text now; left are the flags of what is not.
func Kept(left []string) string {
	text := "Written into the rig text. Undo takes it back, saving keeps it."
	if len(left) > 0 {
		text += " Still only tried: " + Typed(left) + "."
	}
	return text
}
