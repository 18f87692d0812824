package profiles

import (
	"regexp"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"gopkg.in/yaml.v3"
)

// Names and texts of a starter rig, which may come from anywhere.

// bankLetters name banks: none that makes a key of a number behind it, as A to H
// do, and none that is taken for a figure, as I and O are.
const bankLetters = "KLMNPQRSTUVWXYZ"

// bankAt is the name of a bank that nobody has named: K … Z, KK, KL …
func bankAt(i int) string {
	n := len(bankLetters)
	name := bankLetters[i%n:][:1]
	if i >= n {
		return bankAt(i/n-1) + name
	}
	return name
}

// partName makes a name of what a part is to be called that no other has.
func partName(wish string, taken map[string]bool) string {
	clean := func(c rune) rune {
		if unicode.IsLetter(c) || unicode.IsMark(c) || '0' <= c && c <= '9' || c == '_' {
			return c
		}
		return '-'
	}
	name := strings.TrimLeftFunc(strings.Map(clean, strings.ToValidUTF8(wish, "-")), func(c rune) bool { return !unicode.IsLetter(c) })
	name = strings.TrimRight(cut(name, longest-4), "-")
	if name == "" {
		name = "part"
	}
	unique := name
	for i := 2; taken[unique]; i++ {
		unique = name + "-" + strconv.Itoa(i)
	}
	taken[unique] = true
	return unique
}

// oneLine makes one line of a comment.
func oneLine(s string) string {
	s = strings.Map(func(c rune) rune {
		if !unicode.IsPrint(c) {
			return ' '
		}
		return c
	}, strings.ToValidUTF8(s, " "))
	return cut(strings.Join(strings.Fields(s), " "), 160)
}

// cut returns the first characters of a text.
func cut(s string, most int) string {
	if utf8.RuneCountInString(s) <= most {
		return s
	}
	return string([]rune(s)[:most])
}

var safeText = regexp.MustCompile(`^[\p{L}./]([\p{L}\p{M}0-9 ._/-]*[\p{L}\p{M}0-9_])?$`)

// plainText writes a text without quotes where every reader of YAML takes it
// for a text, old ones too, which have more words for true and false.
func plainText(s string) string {
	var v any
	if err := yaml.Unmarshal([]byte(s), &v); err == nil && v == s && safeText.MatchString(s) {
		switch strings.ToLower(s) {
		case "y", "n", "yes", "no", "on", "off":
		default:
			return s
		}
	}
	return strconv.Quote(s)
}
