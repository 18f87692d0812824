package paper

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/draw"
)

// keys give names a number in brackets where they do not fit, the same on every page of a
// sheet. What they stand for is printed on each page that has some.
type keys struct {
	names []string // that may be shortened, the longest first
	given []string // those that have a number: (1) is the first
	here  []string // of what is being drawn
}

// shortName is how many characters a name has that is never shortened.
const shortName = 3

// newKeys has the names on a map.
func newKeys(m *contract.Map) *keys {
	k := &keys{}
	names := slices.Clone(m.SetUps)
	for i := range m.Interfaces {
		names = append(names, m.Interfaces[i].Name)
	}
	for i := range m.Voices {
		names = append(names, m.Voices[i].Bank)
		for j := range m.Voices[i].Seats {
			names = append(names, m.Voices[i].Seats[j].Part)
		}
	}
	for i := range m.Macros {
		names = append(names, m.Macros[i].Name)
	}
	for i := range m.Paths {
		for j := range m.Paths[i].Branches {
			names = append(names, m.Paths[i].Branches[j].Via...)
		}
	}
	for _, c := range slices.Concat(m.Cables, m.SetUpCables) {
		if of, _, ok := strings.Cut(c.Number, ":"); ok {
			names = append(names, of)
		}
	}
	slices.SortFunc(names, func(a, b string) int {
		return cmp.Or(utf8.RuneCountInString(b)-utf8.RuneCountInString(a), strings.Compare(a, b))
	})
	k.names = slices.DeleteFunc(slices.Compact(names), func(s string) bool { return utf8.RuneCountInString(s) <= shortName })
	return k
}

// fit returns a text that fits into a width in mm: names in it are shortened, the longest
// first, until it does.
func (k *keys) fit(text string, width float64, t draw.Type) string {
	return k.fold(text, width, 1, t)[0]
}

// fold returns a text in so many lines at most, broken at spaces: names in it are shortened,
// the longest first, until it fits. No keys shorten nothing.
func (k *keys) fold(text string, width float64, most int, t draw.Type) []string {
	try := text
	for i := 0; ; i++ {
		if try == "" || draw.Width(try, t) <= width {
			return []string{try}
		}
		if lines := draw.Wrap(try, width, t); len(lines) <= most && strings.Join(lines, " ") == draw.Clean(try) {
			return lines
		}
		if k == nil || i == len(k.names) {
			return []string{draw.FitName(try, width, t)}
		}
		try = replaceName(try, k.names[i], func() string { return k.key(k.names[i]) })
	}
}

// whole returns a text that fits into a width: with names in it shortened, or else a number in
// brackets for all of it: for a list of names, or if a line of the notes holds its key.
func (k *keys) whole(text string, width float64, t draw.Type) string {
	const line = 240
	if k == nil || draw.Width(text, t) <= width {
		return draw.FitName(text, width, t)
	}
	try := k.clone()
	short := try.fit(text, width, t)
	if strings.Contains(short, "…") && (strings.Contains(text, "+") || draw.Width(text, draw.Type{Size: 8 * point}) <= line) {
		return k.key(text)
	}
	*k = *try
	return short
}

// clone is what a trial may change; nil for no keys.
func (k *keys) clone() *keys {
	if k == nil {
		return nil
	}
	return &keys{k.names, slices.Clone(k.given), slices.Clone(k.here)}
}

// key is the number of a name in brackets.
func (k *keys) key(name string) string {
	at := slices.Index(k.given, name)
	if at < 0 {
		at, k.given = len(k.given), append(k.given, name)
	}
	if !slices.Contains(k.here, name) {
		k.here = append(k.here, name)
	}
	return fmt.Sprintf("(%d)", at+1)
}

// replaceName puts something else in the place of a name, where it is not part of a longer
// word; the number of a voice may follow it.
func replaceName(text, name string, key func() string) string {
	from := 0
	for {
		at := strings.Index(text[from:], name)
		if at < 0 {
			return text
		}
		at += from
		end := at + len(name)
		before, _ := utf8.DecodeLastRuneInString(text[:at])
		after, _ := utf8.DecodeRuneInString(text[end:])
		if inWord(before) || unicode.IsDigit(before) || inWord(after) {
			from = end
			continue
		}
		short := key()
		text, from = text[:at]+short+text[end:], at+len(short)
	}
}

func inWord(r rune) bool { return unicode.IsLetter(r) || r == '_' || r == '-' }

// text says what the keys of what was drawn stand for; empty for none.
func (k *keys) text() string {
	all := make([]string, len(k.here))
	for i, name := range k.here {
		all[i] = k.key(name) + " is " + name
	}
	return strings.Join(all, "  ·  ")
}

// keyed draws a figure below what its keys stand for, and says so again on every page that
// it begins.
func (f *flow) keyed(k *keys, draws func(*flow)) {
	k.here = nil
	probe := newFlow(f.name, f.fingerprint, f.o)
	probe.bare, probe.keys = true, k
	probe.page("", false)
	draws(probe)
	f.keys, f.keyText = k, k.text()
	f.writeKeys()
	draws(f)
	f.keyText = ""
}

// writeKeys says what keys stand for, at the top of a page or above a figure.
func (f *flow) writeKeys() {
	t := draw.Type{Size: small}
	for _, line := range draw.Wrap(f.keyText, f.width(), t) {
		f.y += t.Size * 1.1
		f.on().Text(f.left(), f.y, line, t)
		f.y += t.Size * 0.3
	}
	if f.keyText != "" {
		f.y += t.Size * 0.6
	}
}
