package plan

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"choirloft/alloc"
	"choirloft/profiles"
	"choirloft/profiles/pattern"
	"choirloft/profiles/unit"
	"choirloft/routing/purchase"
)

func parsePick(text string) (Pick, string, string) {
	first, then, two := strings.Cut(text, " then ")
	names := without(alloc.PickNames(), alloc.PickFixed)
	rule, err := alloc.ParsePick(first)
	switch {
	case rule == alloc.PickFixed && err == nil:
		return Pick{}, "fixed needs a voice for each key", "write it into the rig, as pick: {fixed: {60: K1}}"
	case err != nil:
		return Pick{}, unknown("picking rule", first, names), ruleHint("picking", first, names)
	case !two:
		return Pick{First: rule}, "", ""
	case rule != alloc.PickSameKey:
		return Pick{}, "only same-key has a second rule", ""
	}
	names = without(names, alloc.PickSameKey)
	if !slices.Contains(names, then) {
		return Pick{}, unknown("second rule", then, names), ruleHint("picking", then, names)
	}
	second, _ := alloc.ParsePick(then)
	return Pick{rule, second}, "", ""
}

// String writes the rule as a rig file and a flag have it.
func (p Pick) String() string {
	if p.First == alloc.PickSameKey && p.Second != alloc.PickLongestIdle {
		return p.First.String() + " then " + p.Second.String()
	}
	return p.First.String()
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

// choice is a value that is one of two words.
type choice struct{ no, yes string }

var (
	tails   = choice{"known", "unknown"}
	doubles = choice{"keep", "drop"}
)

func (c choice) parse(text string) (bool, string, string) {
	if text != c.no && text != c.yes {
		return false, fmt.Sprintf("found %q, want %s or %s", text, c.no, c.yes), unit.DidYouMean(text, []string{c.no, c.yes})
	}
	return text == c.yes, "", ""
}

func (c choice) print(yes bool) string {
	if yes {
		return c.yes
	}
	return c.no
}

// parseNames reads names with commas between, and leaves out what is said twice.
func parseNames(text string) (names []string, message, hint string) {
	for name := range strings.SplitSeq(text, ",") {
		if name = strings.TrimSpace(name); !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	return names, "", ""
}

func printNames(names []string) string { return strings.Join(names, ",") }

func sortedNames(names []string) string { return printNames(slices.Sorted(slices.Values(names))) }

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

var buyForm = pattern.Of(`^([0-9]{1,4}) ?[x×] ?(\pL[\pL\pM0-9_-]*)$`)

// parseBuy reads banks to buy, as in 2xN.
func parseBuy(text string) (b Buy, message, hint string) {
	if m := buyForm().FindStringSubmatch(text); m != nil {
		b.Banks, _ = strconv.Atoi(m[1])
		b.Like = m[2]
	}
	if b.Banks < 1 || b.Banks > purchase.Most {
		return Buy{}, fmt.Sprintf("found %q, want 1 to %d banks and the one that they are like", text, purchase.Most), "write it like 2xN"
	}
	return b, "", ""
}

// String writes what is bought as a flag has it.
func (b Buy) String() string { return fmt.Sprintf("%dx%s", b.Banks, b.Like) }

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

func parseLimit(text string) (int, string, string) {
	return parseWhole(text, "the most voices that the part may hold", alloc.MaxVoices)
}

// mostShift is by how much a part may be transposed, as in a rig file.
const mostShift = 48

func parseTranspose(text string) (int, string, string) {
	n, err := strconv.Atoi(text)
	if err != nil || n < -mostShift || n > mostShift {
		return 0, fmt.Sprintf("found %q, want semitones, from -%d to %d", text, mostShift, mostShift), "an octave up is 12, an octave down -12"
	}
	return n, "", ""
}

// mostKey is the highest key there is.
const mostKey = 127

func parseZeroKey(text string) (int, string, string) {
	n, err := strconv.Atoi(text)
	if err != nil || n < 0 || n > mostKey {
		return 0, fmt.Sprintf("found %q, want the key at 0 V, from 0 to %d", text, mostKey), "write it as a number: 36 is C2 where middle C is C4"
	}
	return n, "", ""
}

func parsePriority(text string) (int, string, string) {
	return parseWhole(text, "the rank of the part, 1 is highest", 100)
}

// parseWhole reads a number from 1 to most.
func parseWhole(text, what string, most int) (int, string, string) {
	n, err := strconv.Atoi(text)
	if err != nil || n < 1 || n > most {
		return 0, fmt.Sprintf("found %q, want %s, from 1 to %d", text, what, most), ""
	}
	return n, "", ""
}

func parseMode(text string) (profiles.Mode, string, string) {
	return parseWord(text, []profiles.Mode{profiles.Poly, profiles.MonoLast, profiles.MonoLow, profiles.MonoHigh})
}

func parseShort(text string) (profiles.WhenShort, string, string) {
	return parseWord(text, []profiles.WhenShort{profiles.Blocks, profiles.Thin, profiles.Wait, profiles.Elastic})
}

// parseWord reads a value by its name.
func parseWord[T fmt.Stringer](text string, values []T) (found T, message, hint string) {
	names := make([]string, len(values))
	for i, v := range values {
		if names[i] = v.String(); names[i] == text {
			return v, "", ""
		}
	}
	return found, fmt.Sprintf("found %q, want %s", text, unit.Choice(names)), unit.DidYouMean(text, names)
}

var timeForm = pattern.Of(`^([0-9]+(?:\.[0-9]+)?) ?(ms|s)$`)

// maxRelease is the longest release that a rig may have.
const maxRelease = 600 * time.Second

func parseRelease(text string) (time.Duration, string, string) {
	return parseTime(text, "the time in which a tail falls by 60 dB", "1.2 s", maxRelease)
}

// maxEdit is the longest time by which something is trimmed or lifted.
const maxEdit = 10 * time.Second

// whenShort follows a time that holds only where voices are short.
const whenShort = " when short"

func parseTrim(text string) (Sooner, string, string) {
	return parseSooner(text, "the longest overlap to cut off", "80 ms")
}

func parseLift(text string) (Sooner, string, string) {
	return parseSooner(text, "by how much the pedal comes up earlier", "250 ms")
}

func parseShorten(text string) (Sooner, string, string) {
	return parseSooner(text, "by how much notes end earlier", "100 ms")
}

func parseSooner(text, what, example string) (Sooner, string, string) {
	by, short := strings.CutSuffix(text, whenShort)
	d, message, hint := parseTime(by, what, example, maxEdit)
	return Sooner{d, short}, message, hint
}

// String writes it as a flag has it.
func (s Sooner) String() string { return TypedTime(s.By) + s.short() }

func (s Sooner) code() string { return inSeconds(s.By) + s.short() }

func (s Sooner) short() string {
	if s.WhenShort {
		return whenShort
	}
	return ""
}

// parseTime reads a time from 0 to most.
func parseTime(text, what, example string, most time.Duration) (time.Duration, string, string) {
	m := timeForm().FindStringSubmatch(text)
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

// TypedTime writes a time in full, as it is typed: in milliseconds below a second.
func TypedTime(d time.Duration) string {
	if 0 < d && d < time.Second {
		return decimal(d, time.Millisecond, 6) + " ms"
	}
	return inSeconds(d)
}

func inSeconds(d time.Duration) string { return decimal(d, time.Second, 9) + " s" }

// decimal writes a time in a unit of so many digits to the nanosecond, exactly: a
// float would lose one now and then.
func decimal(d, in time.Duration, digits int) string {
	whole := fmt.Sprintf("%d.%0*d", d/in, digits, d%in)
	return strings.TrimRight(strings.TrimRight(whole, "0"), ".")
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
