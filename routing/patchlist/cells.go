package patchlist

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"choirloft/profiles/pattern"
)

// The texts of cells.

var (
	wholeForm = pattern.Of(`^0*([0-9]{1,6})(?:[.,]0+)?$`)
	jackForm  = pattern.Of(`(?i)^(?:([\p{L}][\p{L}\p{M}0-9_ -]*?)[ .:/]+)??(cv|pitch|gate|gt|trig|g|output|out|jack|nr|no|#)?(?:-|[ .#:]*)0*([0-9]{1,6})(?:[.,]0+)?$`)
	pairForm  = pattern.Of(`^([0-9]{1,3})[/.,:-]([0-9]{1,3})$`)
	voiceForm = pattern.Of(`^(.*?)[ .:#_-]*([0-9]{1,6})(?:[.,]0+)?$`)
	ctlForm   = pattern.Of(`(?i)^cc ?([0-9]{1,3})$`)
)

var rangeForm = pattern.Of(`(?i)^(?:cv|gate|gt)? *0*([0-9]{1,4}) *(?:-|–|to|\.\.) *0*([0-9]{1,4})$`)

// numbers reads a range of numbers: 1-4, cv 1-4 or 1 to 4.
func numbers(text string) (low, high int, ok bool) {
	m := rangeForm().FindStringSubmatch(text)
	if m == nil {
		return 0, 0, false
	}
	low, _ = strconv.Atoi(m[1])
	high, _ = strconv.Atoi(m[2])
	return low, high, 1 <= low && low < high
}

// nothing tells whether a cell stands for none.
func nothing(text string) bool {
	return slices.Contains([]string{"", "-", "–", "—", "/", "none", "n/a", "na"}, strings.ToLower(text))
}

// whole reads a whole number, as spreadsheets may write it: 5, 05, 5.0 or 5,0.
func whole(text string, low, high int) (int, error) {
	if m := wholeForm().FindStringSubmatch(text); m != nil {
		if n, _ := strconv.Atoi(m[1]); low <= n && n <= high {
			return n, nil
		}
	}
	return 0, fmt.Errorf("found %s, want a whole number from %d to %d", quote(text), low, high)
}

// decimal reads a number with a point or a comma.
func decimal(text string) (float64, error) {
	return strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
}

// jackCell is a jack as a cell has it.
type jackCell struct {
	box    string // empty where it names none
	kind   string // cv, gate or empty
	number int
}

const mostJacks = 1024 // of an interface

func readJack(text string) (jackCell, error) {
	if m := pairForm().FindStringSubmatch(text); m != nil && strings.Trim(m[2], "0") != "" {
		return jackCell{}, fmt.Errorf("found %s, want one number for the jack, counted through all connectors: place 5 of the second 8 is 13", quote(text))
	}
	m := jackForm().FindStringSubmatch(text)
	if m == nil {
		return jackCell{}, fmt.Errorf("found %s, want a jack such as 5, cv 5 or main.gate 5", quote(text))
	}
	n, _ := strconv.Atoi(m[3])
	if n < 1 || n > mostJacks {
		return jackCell{}, fmt.Errorf("found %s, want a jack from 1 to %d", quote(text), mostJacks)
	}
	j := jackCell{box: m[1], number: n}
	switch strings.ToLower(m[2]) {
	case "cv", "pitch":
		j.kind = "cv"
	case "gate", "gt", "trig", "g":
		j.kind = "gate"
	}
	return j, nil
}

// states are the words of a state, as choirloft and as people write it. One that is joined
// with another on one pitch jack is in service: the jacks say the rest.
var states = map[string][]string{
	"in":      {"in", "ok", "yes", "good", "works", "in service", "fine", "joined"},
	"out":     {"out", "broken", "dead", "no", "defect", "defective", "in repair", "repair", "out of service", "off"},
	"spare":   {"spare"},
	"limited": {"limited"},
}

// soundsOut tells whether a remark reads as if its voice were out of service, and by
// which word.
func soundsOut(remark string) (word string, ok bool) {
	if text := strings.ToLower(remark); slices.Contains(states["out"], text) {
		return text, true
	}
	for _, word := range strings.FieldsFunc(strings.ToLower(remark), func(c rune) bool { return !unicode.IsLetter(c) }) {
		if slices.Contains([]string{"broken", "dead", "defect", "defective", "repair"}, word) {
			return word, true
		}
	}
	return "", false
}

func readState(text string) (string, error) {
	for _, s := range []string{"in", "out", "spare", "limited"} {
		if slices.Contains(states[s], strings.ToLower(text)) {
			return s, nil
		}
	}
	return "", fmt.Errorf("found %s, want in, out, spare or limited", quote(text))
}

// plainName makes a name of a rig file of a cell: words joined by -, nothing else
// than letters, digits and _; empty where nothing is left.
func plainName(text string) string {
	words := strings.FieldsFunc(text, func(c rune) bool {
		return !unicode.IsLetter(c) && !unicode.IsMark(c) && (c < '0' || '9' < c) && c != '_'
	})
	name := strings.TrimLeftFunc(strings.Join(words, "-"), func(c rune) bool { return !unicode.IsLetter(c) })
	if utf8.RuneCountInString(name) > 40 {
		name = strings.TrimRight(string([]rune(name)[:40]), "-")
	}
	return name
}

// withoutWord leaves out a word for what is named: Bank K is K, Voice 3 is 3.
func withoutWord(text string, words ...string) string {
	for _, w := range words {
		if len(text) > len(w) && strings.EqualFold(text[:len(w)], w) && !unicode.IsLetter(rune(text[len(w)])) {
			return strings.TrimLeft(text[len(w):], " .:#-")
		}
	}
	return text
}

// cable tells whether a name is kept for cables.
func cable(name string) bool { return strings.EqualFold(name, "cv") || strings.EqualFold(name, "gt") }

func endsInDigit(s string) bool { return s != "" && s[len(s)-1] >= '0' && s[len(s)-1] <= '9' }
