package profiles

import (
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"choirloft/profiles/pattern"
)

// name is a word that other places of the rig refer to; its values are
// string.
type name struct {
	what string // with its article
	// noDigit refuses a digit at the end, so that bank and position make a
	// voice's name in one way only.
	noDigit bool
	// noCable refuses cv and gt: cables are called cv12 and box2:gt3.
	noCable bool
}

var nameForm = pattern.Of(`^\p{L}[\p{L}\p{M}0-9_-]*$`)

func (s name) wants() string {
	wants := s.what + ": a letter, then letters, digits, - and _"
	if s.noDigit {
		return wants + ", no digit last"
	}
	return wants
}

func (s name) parse(_ *reader, w written) (any, *complaint) {
	if s.noCable && (strings.EqualFold(w.text, "cv") || strings.EqualFold(w.text, "gt")) {
		return nil, complain("found %s, want another name: %s1 is a cable", w.text, strings.ToLower(w.text)).advise("%s", s.otherName())
	}
	if nameForm().MatchString(w.text) && utf8.RuneCountInString(w.text) <= longest && !(s.noDigit && endsInDigit(w.text)) {
		return w.text, nil
	}
	c := complain("found %s, want %s", quote(w.text), s.wants())
	joined := strings.Join(strings.Fields(w.text), "-")
	switch {
	case utf8.RuneCountInString(w.text) > longest:
		return nil, complain("found %s, want a name of up to %d characters", quote(w.text), longest)
	case joined != w.text && nameForm().MatchString(joined) && !(s.noDigit && endsInDigit(joined)):
		return nil, c.advise("write %s", joined)
	case s.noDigit && w.text != "" && !strings.ContainsAny(w.text, " .:"):
		return nil, c.advise("%s", s.otherName())
	}
	return nil, c
}

func (s name) otherName() string {
	if s.noDigit {
		return "call it by a letter, such as K, or by what it is"
	}
	return "call it by what it is or where it stands, such as main or left"
}

func endsInDigit(s string) bool { return s != "" && s[len(s)-1] >= '0' && s[len(s)-1] <= '9' }

// splitVoice cuts the name of a voice into its bank and the digits of its
// position, which are empty where the name ends in none.
func splitVoice(s string) (bank, position string) {
	bank = strings.TrimRight(s, "0123456789")
	return bank, s[len(bank):]
}

// VoiceName returns the name of the voice at a position, from 1, of a bank.
func VoiceName(bank string, position int) string { return bank + strconv.Itoa(position) }

// isLine tells whether a text is one line of words, not too long.
func isLine(s string, max int) bool {
	if strings.TrimSpace(s) == "" || utf8.RuneCountInString(s) > max {
		return false
	}
	return strings.IndexFunc(s, func(c rune) bool { return !unicode.IsPrint(c) }) < 0
}

// words is the shape of a text with a syntax of its own; its values are what
// parsed returns.
type words struct {
	what   string // what is allowed, with examples
	form   form   // the same for an editor
	parsed func(r *reader, text string) (any, *complaint)
}

func (s words) wants() string { return s.what }

func (s words) parse(r *reader, w written) (any, *complaint) {
	v, c := s.parsed(r, tidy(w.text))
	if c != nil {
		return nil, c
	}
	return v, nil
}
