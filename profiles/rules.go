package profiles

import (
	"slices"
	"strings"
	"time"

	"choirloft/alloc"
	"choirloft/midi"
)

// The texts of a part's rules.

// rules is an enum of one kind of rules, which is called as by alloc.KindOfRule.
type rules[T ~uint8] struct {
	enum[T]
	kind string
}

func (e rules[T]) parse(r *reader, w written) (any, *complaint) {
	v, c := e.enum.parse(r, w)
	if c != nil {
		c.hint = ""
		c = c.ruleMeant(e.kind, w.text, e.names)
	}
	return v, c
}

// ruleMeant says of what is no rule of the kind that is wanted which kind it is
// of, or else which rule of the wanted kind is near.
func (c *complaint) ruleMeant(wanted, found string, names []string) *complaint {
	if kind, ok := alloc.KindOfRule(found); ok && kind != wanted {
		return c.advise("%s is a %s rule", found, kind)
	}
	return c.didYouMean(found, names)
}

// picks is how a part picks a voice.
type picks struct {
	rule, second alloc.PickRule
	fixed        []fixedKey
}

// fixedKey gives a voice to a key.
type fixedKey = entry[midi.Key, spot[string]]

// pickShape is a picking rule, or a map of keys to voices; its values are
// picks.
var pickShape = byKind{all: true, scalar: leaf{words{pickExamples, pickWritten, parsePick}}, dict: mapped[fixedDraft, picks]{
	object[fixedDraft]{what: "the voices of single keys", fields: []field[fixedDraft]{
		must("fixed", dictOf[midi.Key, spot[string]]{
			keys: keyWord, of: voiceRef, what: "voices by key", max: 128,
		}, func(d *fixedDraft) *[]fixedKey { return &d.fixed }, "the voice that plays each key", "{60: K1, 62: K2}"),
	}},
	func(d fixedDraft) picks { return picks{rule: alloc.PickFixed, fixed: d.fixed} },
}}

type fixedDraft struct {
	fixed []fixedKey
}

var pickExamples = "one of " + strings.Join(plainPicks(), ", ") +
	", or same-key then another of them, or {fixed: {60: K1}}"

// plainPicks lists the rules that are written as one word.
func plainPicks() []string {
	return slices.DeleteFunc(slices.Clone(alloc.PickNames()), func(s string) bool { return s == alloc.PickFixed.String() })
}

func parsePick(_ *reader, text string) (any, *complaint) {
	first, then, two := strings.Cut(text, " then ")
	rule, err := alloc.ParsePick(first)
	switch {
	case first == alloc.PickFixed.String():
		return nil, complain("found %s without its voices", quote(text)).advise("write {fixed: {60: K1}}")
	case err != nil:
		return nil, complain("found %s, want %s", quote(text), pickExamples).ruleMeant("picking", first, plainPicks())
	case !two:
		return picks{rule: rule}, nil
	case rule != alloc.PickSameKey:
		return nil, complain("found %s, only same-key has a second rule", quote(text))
	}
	second, err := alloc.ParsePick(then)
	if err != nil || second == alloc.PickSameKey || second == alloc.PickFixed {
		others := slices.DeleteFunc(plainPicks(), func(s string) bool { return s == alloc.PickSameKey.String() })
		return nil, complain("found %s behind then, want one of %s", quote(then), strings.Join(others, ", ")).
			ruleMeant("picking", then, others)
	}
	return picks{rule: rule, second: second}, nil
}

// lawOf is a law of detune with its exponent.
type lawOf struct {
	law   Law
	power float64
}

// exponent is what may stand behind power.
var exponent = number{0.1, 10}

// lawWord is a law of detune; its values are lawOf.
var lawWord = leaf{words{"one of " + strings.Join(lawNames, ", ") + ", or power and an exponent, such as power 1.5", lawWritten,
	func(r *reader, text string) (any, *complaint) {
		if i := slices.Index(lawNames, text); i >= 0 {
			return lawOf{Law(i), 2}, nil
		}
		if p, ok := strings.CutPrefix(text, "power "); ok {
			v, c := exponent.parse(r, written{text: p})
			if c != nil {
				return nil, c
			}
			return lawOf{LawPower, v.(float64)}, nil
		}
		return nil, complain("found %s, want one of %s", quote(text), strings.Join(lawNames, ", ")).didYouMean(text, lawNames)
	}}}

// dateWord is a day; its values are string.
var dateWord = leaf{day}

var day = words{"a date such as 2026-11-02", dateWritten, func(_ *reader, text string) (any, *complaint) {
	if _, err := time.Parse(time.DateOnly, text); err != nil {
		return nil, complain("found %s, want a date such as 2026-11-02", quote(text))
	}
	return text, nil
}}
