package plan

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"choirloft/alloc"
	"choirloft/profiles/unit"
)

// parser reads the value of an override. The message is empty if it could.
type parser[T any] func(text string) (value T, message, hint string)

// picks is a picking rule and what same-key falls back to.
type picks struct{ first, second alloc.PickRule }

func parsePick(text string) (picks, string, string) {
	first, then, two := strings.Cut(text, " then ")
	names := without(alloc.PickNames(), alloc.PickFixed)
	rule, err := alloc.ParsePick(first)
	switch {
	case rule == alloc.PickFixed && err == nil:
		return picks{}, "fixed needs a voice for each key", "write it into the rig, as pick: {fixed: {60: K1}}"
	case err != nil:
		return picks{}, unknown("picking rule", first, names), ruleHint("picking", first, names)
	case !two:
		return picks{first: rule}, "", ""
	case rule != alloc.PickSameKey:
		return picks{}, "only same-key has a second rule", ""
	}
	names = without(names, alloc.PickSameKey)
	if !slices.Contains(names, then) {
		return picks{}, unknown("second rule", then, names), ruleHint("picking", then, names)
	}
	second, _ := alloc.ParsePick(then)
	return picks{rule, second}, "", ""
}

// PickNames lists the picking rules that can be asked for by name alone.
func PickNames() []string { return without(alloc.PickNames(), alloc.PickFixed) }

func without(names []string, rule alloc.PickRule) []string {
	return slices.DeleteFunc(slices.Clone(names), func(s string) bool { return s == rule.String() })
}

func parseSteal(text string) (alloc.StealRule, string, string) {
	return named("stealing rule", text, alloc.StealNames(), alloc.ParseSteal)
}

func parseSameKey(text string) (alloc.SameKey, string, string) {
	return named("same-key rule", text, alloc.SameKeyNames(), alloc.ParseSameKey)
}

func named[R any](what, text string, names []string, parse func(string) (R, error)) (R, string, string) {
	rule, err := parse(text)
	if err != nil {
		return rule, unknown(what, text, names), ruleHint(strings.TrimSuffix(what, " rule"), text, names)
	}
	return rule, "", ""
}

// parseTails returns true for unknown tails.
func parseTails(text string) (bool, string, string) {
	switch text {
	case "known":
		return false, "", ""
	case "unknown":
		return true, "", ""
	}
	names := []string{"known", "unknown"}
	return false, fmt.Sprintf("found %q, want known or unknown", text), unit.DidYouMean(text, names)
}

func parseVoices(text string) (int, string, string) {
	n, err := strconv.Atoi(text)
	if err != nil || n < 1 {
		return 0, fmt.Sprintf("found %q, want how many voices to keep, from 1", text), ""
	}
	return n, "", ""
}

func parseMore(text string) (int, string, string) {
	n, err := strconv.Atoi(text)
	if err != nil || n < 1 || n > alloc.MaxVoices {
		return 0, fmt.Sprintf("found %q, want how many voices to add, from 1", text), ""
	}
	return n, "", ""
}

func parseUnison(text string) (int, string, string) {
	n, err := strconv.Atoi(text)
	if err != nil || n < 1 || n > 64 {
		return 0, fmt.Sprintf("found %q, want how many voices play a note, from 1 to 64", text), ""
	}
	return n, "", ""
}

func parseReserve(text string) (int, string, string) {
	n, err := strconv.Atoi(text)
	if err != nil || n < 0 || n > alloc.MaxVoices {
		return 0, fmt.Sprintf("found %q, want how many voices to keep for the part, from 0", text), ""
	}
	return n, "", ""
}

// parseDoubles returns true where doubled octaves are to be dropped.
func parseDoubles(text string) (bool, string, string) {
	switch text {
	case "keep":
		return false, "", ""
	case "drop":
		return true, "", ""
	}
	names := []string{"keep", "drop"}
	return false, fmt.Sprintf("found %q, want keep or drop", text), unit.DidYouMean(text, names)
}

var timeForm = regexp.MustCompile(`^([0-9]+(?:\.[0-9]+)?) ?(ms|s)$`)

// maxRelease is the longest release that a rig may have.
const maxRelease = 600 * time.Second

func parseRelease(text string) (time.Duration, string, string) {
	return parseTime(text, "the time in which a tail falls by 60 dB", "1.2 s", maxRelease)
}

// maxEdit is the longest time by which something is trimmed or lifted.
const maxEdit = 10 * time.Second

func parseTrim(text string) (time.Duration, string, string) {
	return parseTime(text, "the longest overlap to cut off", "80 ms", maxEdit)
}

func parseLift(text string) (time.Duration, string, string) {
	return parseTime(text, "by how much the pedal comes up earlier", "250 ms", maxEdit)
}

// parseTime reads a time from 0 to most.
func parseTime(text, what, example string, most time.Duration) (time.Duration, string, string) {
	m := timeForm.FindStringSubmatch(text)
	if m == nil {
		hint := "write it like " + example
		if _, err := strconv.ParseFloat(text, 64); err == nil {
			hint = "write " + text + " s, or " + text + " ms"
		}
		return 0, fmt.Sprintf("found %q, want %s, from 0 s to %s s", text, what, unit.Fixed(most.Seconds(), 0)), hint
	}
	d, err := time.ParseDuration(m[1] + m[2])
	if err != nil || d > most {
		return 0, fmt.Sprintf("found %q, want at most %s s", text, unit.Fixed(most.Seconds(), 0)), ""
	}
	return d, "", ""
}

func unknown(what, found string, names []string) string {
	return fmt.Sprintf("unknown %s %q, there are %s", what, found, strings.Join(names, ", "))
}

// ruleHint is for what is no rule of the kind that is wanted: the kind that it
// is of, or else the rule of the wanted kind that is meant.
func ruleHint(wanted, found string, names []string) string {
	if kind, ok := alloc.KindOfRule(found); ok && kind != wanted {
		return found + " is a " + kind + " rule"
	}
	return unit.DidYouMean(found, names)
}
