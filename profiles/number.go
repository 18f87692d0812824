package profiles

import (
	"strconv"
	"strings"

	"choirloft/profiles/pattern"
)

// A decimal is a sign, digits and perhaps a point and digits; no leading
// zeros, no exponent.
var decimal = pattern.Of(`^[+-]?(0|[1-9][0-9]*)(\.[0-9]+)?$`)

var (
	leadingZeros = pattern.Of(`^([+-]?)0+([0-9](?:[0-9]*)(?:\.[0-9]+)?)$`)
	comma        = pattern.Of(`^([+-]?[0-9]+),([0-9]+)$`)
	bareRight    = pattern.Of(`^([+-]?)(\.[0-9]+)$`)
)

// tidy turns the typographic minus into the one that numbers are parsed with.
func tidy(s string) string { return strings.ReplaceAll(strings.TrimSpace(s), "−", "-") }

// checkDecimal complains of a text that is no decimal. The rest follows the
// number in advice: a unit with a space before it, or nothing.
func checkDecimal(text, rest, wants string) *complaint {
	if decimal().MatchString(text) {
		return nil
	}
	c := complain("found %s, want %s", quote(text+rest), wants)
	if m := leadingZeros().FindStringSubmatch(text); m != nil {
		return c.advise("leave out the leading zeros: write %s%s", m[1]+m[2], rest)
	}
	if m := comma().FindStringSubmatch(text); m != nil {
		return c.advise("write decimals with a point: %s.%s%s", m[1], m[2], rest)
	}
	if m := bareRight().FindStringSubmatch(text); m != nil {
		return c.advise("write %s0%s%s", m[1], m[2], rest)
	}
	return c
}

// integer is a whole number from min to max; its values are int.
type integer struct {
	min, max int
	unit     string // what may stand behind it; empty for nothing
}

func (s integer) wants() string {
	return "a whole number from " + strconv.Itoa(s.min) + " to " + strconv.Itoa(s.max)
}

func (s integer) parse(_ *reader, w written) (any, *complaint) {
	text, unit := tidy(w.text), false
	if s.unit != "" {
		text, unit = strings.CutSuffix(text, s.unit)
		text = strings.TrimSpace(text)
	}
	if c := checkDecimal(text, "", s.wants()); c != nil {
		return nil, c
	}
	if w.quoted && !unit {
		return nil, complain("found the text %s, want %s", quote(w.text), s.wants()).advise("leave out the quotes")
	}
	v, err := strconv.Atoi(text)
	if err != nil || v < s.min || v > s.max {
		return nil, complain("found %s, want %s", shorten(w.text), s.wants())
	}
	return v, nil
}

func whole(min, max int) leaf { return leaf{integer{min: min, max: max}} }

// number is a decimal number from min to max without a unit; its values are
// float64.
type number struct{ min, max float64 }

func (s number) wants() string {
	return "a number from " + plain(s.min) + " to " + plain(s.max)
}

func (s number) parse(_ *reader, w written) (any, *complaint) {
	text := tidy(w.text)
	if c := checkDecimal(text, "", s.wants()); c != nil {
		return nil, c
	}
	if w.quoted {
		return nil, complain("found the text %s, want %s", quote(w.text), s.wants()).advise("leave out the quotes")
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || v < s.min || v > s.max {
		return nil, complain("found %s, want %s", shorten(w.text), s.wants())
	}
	return v, nil
}

func plain(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// boolean is true or false; its values are bool.
type boolean struct{}

func (boolean) wants() string { return "true or false" }

func (b boolean) parse(_ *reader, w written) (any, *complaint) {
	switch {
	case w.text == "true" && !w.quoted:
		return true, nil
	case w.text == "false" && !w.quoted:
		return false, nil
	}
	c := complain("found %s, want %s", quote(w.text), b.wants())
	if w.quoted {
		return nil, complain("found the text %s, want %s", quote(w.text), b.wants()).advise("leave out the quotes")
	}
	switch strings.ToLower(w.text) {
	case "true", "yes", "on", "y":
		return nil, c.advise("write true")
	case "false", "no", "off", "n":
		return nil, c.advise("write false")
	}
	return nil, c
}

var yesOrNo = leaf{boolean{}}

// inHP is a width from min to max HP, with or without its unit; its values are int.
func inHP(min, max int) leaf { return leaf{integer{min, max, "HP"}} }
