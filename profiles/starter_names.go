package profiles

import (
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"gopkg.in/yaml.v3"

	"choirloft/profiles/pattern"
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

// readsAsOther are names that read as a key, or as a voice of a starter's banks.
var readsAsOther = pattern.Of(`^([A-Ha-h]b?-?|[K-Z]+)[0-9]+$`)

// PartNames makes names for parts of what they are to be called, such as the names
// of tracks. What a name cannot have becomes a single -, long ones are cut at a
// word, what reads as a key or a voice gets part- before it, and equal ones get a
// number. Names that these rules made stay as they are.
func PartNames(wishes []string) []string {
	names, taken := make([]string, len(wishes)), map[string]bool{}
	for i, wish := range wishes {
		name := partName(wish)
		names[i] = name
		for n := 2; taken[names[i]]; n++ {
			names[i] = cut(name, longest-4) + "-" + strconv.Itoa(n)
		}
		taken[names[i]] = true
	}
	return names
}

func partName(wish string) string {
	words := strings.FieldsFunc(strings.ToValidUTF8(wish, "-"), func(c rune) bool {
		return !unicode.IsLetter(c) && !unicode.IsMark(c) && (c < '0' || '9' < c) && c != '_'
	})
	name := ""
	for _, word := range words {
		if name == "" {
			name = cut(strings.TrimLeftFunc(word, func(c rune) bool { return !unicode.IsLetter(c) }), longest)
			continue
		}
		longer := name + "-" + word
		if utf8.RuneCountInString(longer) > longest {
			break
		}
		name = longer
	}
	switch {
	case name == "":
		return "part"
	case readsAsOther().MatchString(name):
		return cut("part-"+name, longest)
	}
	return name
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

var safeText = pattern.Of(`^[\p{L}./]([\p{L}\p{M}0-9 ._/-]*[\p{L}\p{M}0-9_])?$`)

// NameText is the name of a bank or a part as a rig file has it: a letter stands alone.
func NameText(name string) string {
	if utf8.RuneCountInString(name) == 1 {
		return name
	}
	return Plain(name)
}

// Plain writes a text without quotes where every reader of YAML takes it
// for a text, old ones too, which have more words for true and false.
func Plain(s string) string {
	var v any
	if err := yaml.Unmarshal([]byte(s), &v); err == nil && v == s && safeText().MatchString(s) {
		switch strings.ToLower(s) {
		case "y", "n", "yes", "no", "on", "off":
		default:
			return s
		}
	}
	return strconv.Quote(s)
}
