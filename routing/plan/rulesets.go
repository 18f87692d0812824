package plan

import (
	"fmt"
	"slices"
	"strings"

	"choirloft/alloc"
	"choirloft/alloc/study"
)

// Rulesets reads what a sizing is to try: "few" for a telling handful, "all"
// for every picking rule with protect-outer and every stealing rule with the
// longest-idle voice, or picking and stealing rules by name, as in "lowest/oldest".
// Each is tried with tails known and with tails unknown. The rules that all
// parts of a plan have come first among the handful. The error is an
// *[OverrideError].
func Rulesets(p *Plan, words []string) ([]study.Ruleset, error) {
	var list []study.Ruleset
	add := func(s study.Ruleset) {
		for _, s.TailsUnknown = range []bool{false, true} {
			if !slices.Contains(list, s) {
				list = append(list, s)
			}
		}
	}
	for _, word := range words {
		switch word {
		case "few":
			few(p, add)
		case "all":
			every(add)
		default:
			s, message, hint := parseRuleset(word)
			if message != "" {
				return nil, &OverrideError{Name: "--rules", Value: word, Message: message, Hint: hint}
			}
			add(s)
		}
	}
	return list, nil
}

// few are the rules that a part gets by default, those of a plain box, which
// takes the next or the lowest voice and steals the oldest, and the two that
// look ahead.
func few(p *Plan, add func(study.Ruleset)) {
	if own, ok := p.Ruleset(); ok {
		add(own)
	}
	add(study.Ruleset{Pick: alloc.PickLongestIdle, Steal: alloc.StealProtectOuter})
	add(study.Ruleset{Pick: alloc.PickLowest, Steal: alloc.StealOldest})
	add(study.Ruleset{Pick: alloc.PickRoundRobin, Steal: alloc.StealOldest})
	add(study.Ruleset{Pick: alloc.PickLongestIdle, Steal: alloc.StealFewestCuts})
	add(study.Ruleset{Pick: alloc.PickLongestIdle, Steal: alloc.StealLeastLost})
}

func every(add func(study.Ruleset)) {
	for _, name := range without(alloc.PickNames(), alloc.PickFixed) {
		rule, _ := alloc.ParsePick(name)
		add(study.Ruleset{Pick: rule, Steal: alloc.StealProtectOuter})
	}
	for _, name := range alloc.StealNames() {
		rule, _ := alloc.ParseSteal(name)
		add(study.Ruleset{Pick: alloc.PickLongestIdle, Steal: rule})
	}
}

// Ruleset returns the rules that all parts play by; ok is false where they do
// not agree, or one has a fixed map.
func (p *Plan) Ruleset() (s study.Ruleset, ok bool) {
	for i := range p.Rules.Config.Parts {
		part := &p.Rules.Config.Parts[i]
		own := study.Ruleset{Pick: part.Pick, Steal: part.Steal, TailsUnknown: part.TailsUnknown}
		if part.Pick == alloc.PickSameKey {
			own.Second = part.Second
		}
		if i > 0 && own != s || part.Pick == alloc.PickFixed || part.MixClasses || part.NewcomerCompetes {
			return study.Ruleset{}, false
		}
		s = own
	}
	return s, true
}

// parseRuleset reads two rules with a stroke between them.
func parseRuleset(text string) (study.Ruleset, string, string) {
	pick, steal, two := strings.Cut(text, "/")
	if !two {
		return study.Ruleset{}, fmt.Sprintf("found %q, want few, all, or a picking and a stealing rule", text), "write it like lowest/oldest"
	}
	first, message, hint := parsePick(strings.TrimSpace(pick))
	if message != "" {
		return study.Ruleset{}, message, hint
	}
	rule, message, hint := parseSteal(strings.TrimSpace(steal))
	return study.Ruleset{Pick: first.First, Second: first.Second, Steal: rule}, message, hint
}
