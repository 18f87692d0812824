package say

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/profiles/unit"
)

// fixTable lists the n remedies that are shown first, each with its flags beside
// or below it.
func (s size) fixTable(n int) doc.Table {
	const short = 56
	t := doc.Table{Columns: []doc.Column{doc.Number("Damaged"), doc.Number("Legato").Ranked(2), doc.Number("Tails"), doc.Number("Loudest").Ranked(1),
		doc.Words("Asks").Ranked(3), doc.Words("What to do").Folds(30)}}
	for _, at := range s.shownFixes(n) {
		f := &s.Fixes[at]
		what, with := fixText(f), typed(f.Flags)
		if one := what + ": " + with; len(one) <= short {
			what, with = one, ""
		}
		t.Row("", unit.Cell(f.After.Beyond()), unit.Cell(f.After.OverlapOnly), unit.Cell(f.After.TailCuts), unit.Level(f.After.LoudestCutDB), f.Asks, what)
		t.About("fix " + strconv.Itoa(at))
		if with != "" {
			t.Row("", "", "", "", "", "", "  "+with)
		}
	}
	return t
}

// shownFixes are the places of up to n remedies, no more than two that begin with the same
// kind: what is shown is what differs.
func (s size) shownFixes(n int) (shown []int) {
	const alike = 2
	kinds := map[string]int{}
	for i := range s.Fixes {
		kind := s.Fixes[i].Kinds[0]
		if kinds[kind]++; kinds[kind] <= alike && len(shown) < n {
			shown = append(shown, i)
		}
	}
	return shown
}

// typed writes flags as one would type them.
func typed(words []string) string {
	all := make([]string, len(words))
	for i, w := range words {
		all[i] = w
		if strings.ContainsAny(w, " ") {
			all[i] = strconv.Quote(w)
		}
	}
	return strings.Join(all, " ")
}

// fixText says what to do.
func fixText(f *contract.Fix) string {
	var words []string
	for i := range f.Changes {
		words = append(words, changeText(&f.Changes[i]))
	}
	return strings.Join(words, ", and ")
}

func changeText(c *contract.FixChange) string {
	part := "all"
	if c.Part != nil {
		part = *c.Part
	}
	switch c.Kind {
	case "pick", "steal":
		return c.Kind + " " + c.Value
	case "tails":
		return "export it, so that tails are known"
	case "reserve":
		return fmt.Sprintf("keep %d voices for %s", c.Number, part)
	case "banks":
		return "banks: " + banksText(c.Banks)
	case "unison":
		return fmt.Sprintf("%s with a unison of %d", part, c.Number)
	case "release":
		return "release " + c.Value + " for " + part
	case "trim":
		return fmt.Sprintf("end %s's notes at the next, overlaps up to %s", part, c.Value)
	case "lift":
		return fmt.Sprintf("lift %s's pedal %s earlier", part, c.Value)
	case "doubles":
		return fmt.Sprintf("drop %s's doubled octaves", part)
	case "passes":
		return unit.Count(c.Number, "recording") + " to be mixed"
	case "voices":
		return fmt.Sprintf("%s more: %d", unit.Count(c.More, "voice"), c.Number)
	}
	return c.Kind
}

// banksText says who plays where, parts on the same banks together.
func banksText(list []contract.PartBanks) string {
	var order []string
	parts := map[string][]string{}
	for _, p := range list {
		banks := strings.Join(p.Banks, " ")
		if parts[banks] == nil {
			order = append(order, banks)
		}
		parts[banks] = append(parts[banks], p.Part)
	}
	var words []string
	for _, banks := range order {
		words = append(words, unit.List(parts[banks])+" on "+banks)
	}
	return strings.Join(words, "; ")
}

// warned are the kinds of remedies that are warned of, in this order: what a
// player would think of. Other rules are many, and in the JSON.
var warned = []string{"trim", "lift", "doubles", "unison", "release", "tails", "reserve", "banks"}

// worseLine warns of remedies that make things worse, one of a kind.
func (s size) worseLine(most int) string {
	var words []string
	for _, kind := range warned {
		at := slices.IndexFunc(s.Worse, func(f contract.Fix) bool { return f.Kinds[0] == kind })
		if at >= 0 && len(words) < most {
			words = append(words, fmt.Sprintf("%s (%s)", fixText(&s.Worse[at]), costWords(&s.Worse[at].After)))
		}
	}
	if len(words) == 0 {
		return ""
	}
	return "Makes it worse: " + strings.Join(words, "; ") + "."
}

// triedLine says how much was tried.
func (s size) triedLine() string {
	switch {
	case s.Tried == 0:
		return ""
	case s.PairsAll == 0:
		return fmt.Sprintf("%d remedies tried, each played; replay with the flags gives the same figures.", s.Tried)
	case s.PairsTried < s.PairsAll:
		return fmt.Sprintf("%d remedies and %d of %d pairs tried before time was up, each played.", s.Tried, s.PairsTried, s.PairsAll)
	}
	return fmt.Sprintf("%d remedies and %d pairs tried, each played; replay with the flags gives the same figures.", s.Tried, s.PairsTried)
}
