package say

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/profiles/unit"
)

// fixesHead is the heading of the fixes.
func (s size) fixesHead() string {
	if s.fixesByEar() {
		return "Fixes, the best by ear first"
	}
	return "Fixes, the best first"
}

// fixesByEar tells whether what is heard is known of all fixes.
func (s size) fixesByEar() bool {
	return s.Now.Heard != nil && !slices.ContainsFunc(s.Fixes, func(f contract.Fix) bool { return f.After.Heard == nil })
}

// content tells whether nothing is lost that anybody would hear.
func (s size) content() bool {
	return s.Now.Heard != nil && s.Now.Heard.Faint == 0 && s.Now.Damaged == 0 && s.Now.LostGateS == 0
}

// fixTable lists the fixes that are shown first, with what each leaves, and its
// flags beside or below it. They have room for so many lines of 80 columns; the
// first fix is shown whatever it takes, but for one of what nobody hears on a screen.
func (s size) fixTable(room Room, lines int) doc.Table {
	const short, folded = 56, 36
	n := room.of(5, 20)
	columns := []doc.Column{number("tails cut"), number("loudest").Ranked(1)}
	cells := func(c *contract.Cost) []string { return []string{unit.Cell(c.TailCuts), unit.Level(c.LoudestCutDB)} }
	if s.fixesByEar() {
		columns = []doc.Column{number("plain losses"), number("heard losses")}
		cells = func(c *contract.Cost) []string { return []string{unit.Cell(c.Heard.Plain), unit.Cell(c.Heard.Faint)} }
	}
	t := doc.Table{Columns: slices.Concat([]doc.Column{words("effort").Ranked(2), number("cut"), number("dropped"), number("lost").Ranked(3)},
		columns, []doc.Column{words("fix").Folds(36)})}
	before, after := s.mends()
	rows := func(mends []mend) {
		for _, m := range mends {
			t.Row("", m.effort, "", "", "", "", "", m.text)
			lines, n = lines-len(m.text)/folded-1, max(1, n-1)
		}
	}
	rows(before)
	if s.content() && room == Screen {
		rows(after)
		return t
	}
	if len(s.Fixes) == 0 {
		rows(after)
	}
	for i, at := range s.shownFixes(n) {
		f := &s.Fixes[at]
		what, with := s.fixText(f), Typed(f.Flags)
		if f.Command == writing {
			with = writing + " " + with
		}
		if lines -= (len(what)+len(with))/folded + 1; lines < 0 && i > 0 {
			break
		}
		if one := what + ": " + with; len(one) <= short {
			what, with = one, ""
		}
		t.Row("", slices.Concat([]string{f.Asks, unit.Cell(f.After.Cut()), unit.Cell(f.After.Dropped), unit.Span(f.After.LostGateS)}, cells(&f.After), []string{what})...)
		t.About("fix " + strconv.Itoa(at))
		if with != "" {
			t.Row("", "", "", "", "", "", "", "  "+with)
		}
		if i == 0 {
			rows(after)
		}
	}
	return t
}

// shownFixes are the places of up to n fixes, no more than two that begin with the same
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

// writing is the command of fixes that replay does not know.
const writing = "write"

// plainWord is a word that no shell takes apart.
var plainWord = regexp.MustCompile(`^[\pL\pN_@%+=:,./-]+$`)

// Typed writes words of a command as one would type them.
func Typed(words []string) string {
	all := make([]string, len(words))
	for i, w := range words {
		switch {
		case plainWord.MatchString(w):
			all[i] = w
		case strings.ContainsAny(w, "\"$`\\!"):
			all[i] = "'" + strings.ReplaceAll(w, "'", `'\''`) + "'"
		default:
			all[i] = `"` + w + `"`
		}
	}
	return strings.Join(all, " ")
}

// fixText says what to do, and what that spoils.
func (s size) fixText(f *contract.Fix) string {
	text := changesText(f)
	if n := f.Leaves.NoJack; n > len(s.NoJack) {
		text += ", with " + withoutJack(n)[0]
	}
	if n := f.Leaves.WrongPitches - s.WrongNotes(); n > 0 {
		text += ", with " + unit.Count(n, "note") + " more at the wrong pitch"
	}
	return text
}

// changesText says what to do.
func changesText(f *contract.Fix) string {
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
		return "export it with write, which hears tails"
	case "reserve":
		return fmt.Sprintf("keep %s for %s", unit.Count(c.Number, "voice"), part)
	case "banks":
		return "give " + banksText(c.Banks)
	case "unison":
		return fmt.Sprintf("a unison of %d for %s", c.Number, part)
	case "release":
		return "release " + c.Value + " for " + part
	case "trim":
		return fmt.Sprintf("end %s's notes at the next where they overlap it by up to %s", part, c.Value)
	case "lift":
		return fmt.Sprintf("lift %s's pedal %s earlier", part, c.Value)
	case "doubles":
		return fmt.Sprintf("drop %s's doubled octaves", part)
	case "passes":
		return unit.Count(c.Number, "recording") + " to mix"
	case "voices":
		return fmt.Sprintf("%s more (%d)", unit.Count(c.More, "voice"), c.Number)
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
		words = append(words, unit.List(parts[banks])+" banks "+banks)
	}
	return strings.Join(words, "; ")
}

// warned are the kinds of changes that are warned of, in this order: what a
// player would think of. Other rules are many, and in the JSON.
var warned = []string{"trim", "lift", "doubles", "unison", "release", "tails", "reserve", "banks"}

// worseLine warns of changes that make things worse, one of a kind.
func (s size) worseLine(most int) string {
	var words []string
	for _, kind := range warned {
		at := slices.IndexFunc(s.Worse, func(f contract.Fix) bool { return f.Kinds[0] == kind })
		if at >= 0 && len(words) < most {
			words = append(words, changesText(&s.Worse[at])+". "+s.worseWords(&s.Worse[at]))
		}
	}
	if len(words) == 0 {
		return ""
	}
	return "Makes it worse: " + strings.Join(words, ". Worse, too: ") + "."
}

// worseWords says what a change leaves: what is heard then, if that is more.
func (s size) worseWords(f *contract.Fix) string {
	if now, then := s.Now.Heard, f.After.Heard; now != nil && then != nil && then.Faint > now.Faint {
		return youHearSo(then.Faint, then.Plain)
	}
	return "That leaves " + costWords(&f.After, &f.Leaves)
}

// triedLine says how much was tried.
func (s size) triedLine(room Room) string {
	var tried string
	switch {
	case s.Tried == 0:
		return ""
	case s.PairsAll == 0:
		tried = fmt.Sprintf("%d fixes tried", s.Tried)
	case s.PairsTried < s.PairsAll:
		tried = fmt.Sprintf("%d fixes tried, and %d of %d pairs", s.Tried, s.PairsTried, s.PairsAll)
	default:
		tried = fmt.Sprintf("%d fixes and %d pairs tried", s.Tried, s.PairsTried)
	}
	pair := func(f contract.Fix) bool { return len(f.Kinds) > 1 }
	if s.PairsTried > 0 && !slices.ContainsFunc(s.Fixes, pair) {
		tried += "; no pair helps more than one"
	}
	if len(s.Fixes) == 0 || s.content() && room == Screen { // none with flags is shown
		return tried + "."
	}
	command := "replay with its flags"
	if slices.ContainsFunc(s.Fixes, func(f contract.Fix) bool { return f.Command == writing }) {
		command += ", or what else is named,"
	}
	return tried + "; " + command + " says the same."
}
