package say

import (
	"fmt"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/profiles/unit"
)

// fixesHead is the heading of the fixes.
const fixesHead = "Fixes, the best by ear first"

// content tells whether nothing is lost that anybody would hear.
func (s size) content() bool {
	return s.Now.Heard != nil && s.Now.Heard.Faint == 0 && s.Now.Damaged == 0 && s.Now.LostGateS == 0
}

// buying is the dearest effort.
const buying = "buying"

// fixTable lists the fixes that are shown, with what each leaves, and its
// flags beside or below it, after what is left as it is. They have room for so many lines of 80 columns; those that
// the head names are shown whatever they take. Shown are the places of the fixes that are, over how many lines more
// than that these take.
func (s size) fixTable(room Room, lines int, named []int) (t doc.Table, shown []int, over int) {
	const short, folded = 56, 36
	t.Columns = []doc.Column{words("effort").Ranked(2), number("cut"), number("dropped"), number("lost").Ranked(3),
		number("plain time"), number("heard time"), words("fix").Folds(36)}
	pitch := slices.ContainsFunc(s.Fixes, func(f contract.Fix) bool { return f.Leaves.WrongPitches != s.WrongNotes() })
	if pitch {
		t.Columns = slices.Insert(t.Columns, 3, number("wrong pitch").Ranked(1))
	}
	row := func(effort string, left []string, wrong int, text string) {
		if pitch {
			left = slices.Insert(left, 2, unit.Cell(wrong))
		}
		t.Row("", slices.Concat([]string{effort}, left, []string{text})...)
	}
	if len(s.Fixes) > 0 {
		row("", leftCells(s.Now.Dropped, s.Now.Cut(), s.Now.LostGateS, s.Now.Missing), s.WrongNotes(), "as it is")
		lines--
	}
	for at := range s.Fixes {
		f := &s.Fixes[at]
		must := slices.Contains(named, at)
		if !must && (len(shown) == room.of(5, 20) || room == Screen && f.Near) {
			continue
		}
		star := ""
		if len(f.Costs) > 0 {
			star = "*"
		}
		there := func(at int) bool { return slices.Contains(named, at) || slices.Contains(shown, at) }
		what, with := strconv.Itoa(f.Number)+star+". "+s.fixText(f, there), Typed(f.Flags)
		if f.Command == writing {
			with = writing + " " + with
		}
		if room == Screen && (len(with) > 2*folded || len(with) > folded && lines < 3) {
			with = "size --all has its flags"
		}
		if takes := (len(what)+len(with))/folded + 1; must || takes <= lines {
			lines -= takes
		} else {
			continue
		}
		if one := what + ": " + with; len(one) <= short {
			what, with = one, ""
		}
		shown = append(shown, at)
		c := f.Changed
		row(f.Asks+star, leftCells(c.Dropped, c.Cut, c.LostS, f.After.Missing), f.Leaves.WrongPitches, what)
		t.About("fix " + strconv.Itoa(at))
		if with != "" {
			t.Row("", append(make([]string, len(t.Columns)-1), "  "+with)...)
		}
	}
	return t, shown, max(0, -lines)
}

// leftCells are what a run leaves: notes cut and dropped, seconds lost, and heard to be
// missing where that is known.
func leftCells(dropped, cut int, lost float64, m *contract.Missing) []string {
	return slices.Concat([]string{unit.Cell(cut), unit.Cell(dropped), unit.Span(lost)}, timeCells(m))
}

// timeCells are for how long something is heard to be missing, plainly and at all.
func timeCells(m *contract.Missing) []string {
	if m == nil {
		return []string{"", ""}
	}
	return []string{unit.Span(m.PlainS), unit.Span(m.HeardS)}
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

// fixText says what to do, and what that spoils: what is more than another fix where that is
// there.
func (s size) fixText(f *contract.Fix, there func(at int) bool) string {
	text := changesText(f)
	if f.On != nil && there(*f.On-1) {
		if rest := beyond(f, &s.Fixes[*f.On-1]); len(rest) > 0 && len(rest) < len(f.Changes) {
			text = fmt.Sprintf("as %d, and %s", *f.On, changesOf(rest, f.Purchase))
		}
	}
	if n := f.Leaves.NoJack; n > len(s.NoJack) {
		text += ", with " + withoutJack(n)[0]
	}
	if n := f.Leaves.WrongPitches - s.WrongNotes(); n > 0 {
		text += ", with " + unit.Count(n, "note") + " more at the wrong pitch"
	}
	return text
}

// changesText says what to do.
func changesText(f *contract.Fix) string { return changesOf(f.Changes, f.Purchase) }

// changesOf says what to do, the same for several parts together, and what is bought.
func changesOf(changes []contract.FixChange, buy *contract.Purchase) string {
	var words []string
	for len(changes) > 0 {
		c, n := &changes[0], 1
		parts := []string{}
		if c.Part != nil {
			parts = append(parts, *c.Part)
		}
		for n < len(changes) && c.Part != nil && sameChange(&changes[n], c) {
			parts = append(parts, *changes[n].Part)
			n++
		}
		text := changeText(c, parts)
		if c.Kind == "voices" && buy != nil {
			text = purchaseText(buy)
		}
		words, changes = append(words, text), changes[n:]
	}
	return strings.Join(words, ", and ")
}

// sameChange tells whether two differ in their parts alone.
func sameChange(a, b *contract.FixChange) bool {
	return a.Part != nil && a.Kind == b.Kind && a.Value == b.Value && a.Number == b.Number && len(a.Banks)+len(b.Banks) == 0
}

// changeText says one change, for parts, or all where none is named.
func changeText(c *contract.FixChange, parts []string) string {
	part, whose := "all", "all parts'"
	if len(parts) > 0 {
		part = unit.List(parts)
		whose = part + "'s"
	}
	switch c.Kind {
	case "pick", "steal":
		if len(parts) == 0 {
			return c.Kind + " " + c.Value
		}
		return c.Kind + " " + c.Value + " for " + part
	case "same-key":
		return "the same key again for " + part + ": " + c.Value
	case "tails":
		return "export it with write, which hears tails"
	case "reserve":
		return fmt.Sprintf("keep %s for %s", unit.Count(c.Number, "voice"), part)
	case "limit":
		return fmt.Sprintf("at most %s for %s", unit.Count(c.Number, "voice"), part)
	case "priority":
		return fmt.Sprintf("priority %d for %s", c.Number, part)
	case "mode":
		return c.Value + " for " + part
	case "when-short":
		return whose + " unison " + c.Value + " when short"
	case "banks":
		if len(c.Banks) == 1 && c.Banks[0].Part == "" {
			return "all parts on " + strings.Join(c.Banks[0].Banks, " ")
		}
		return "give " + banksText(c.Banks)
	case "transpose":
		return "transpose " + part + " " + interval(c.Semitones)
	case "unison":
		return fmt.Sprintf("a unison of %d for %s", c.Number, part)
	case "release":
		return "release " + c.Value + " for " + part
	case "trim":
		by, short := sooner(c.Value)
		return fmt.Sprintf("end %s notes at the next where they overlap it by up to %s%s", whose, by, short)
	case "lift":
		by, short := sooner(c.Value)
		return fmt.Sprintf("lift %s pedal %s earlier%s", whose, by, short)
	case "doubles":
		return fmt.Sprintf("drop %s doubled octaves", whose)
	case "passes":
		if len(c.Recordings) > 0 {
			var each []string
			for _, names := range c.Recordings {
				each = append(each, unit.List(names))
			}
			return "record " + strings.Join(each, ", then ") + ", and mix"
		}
		return unit.Count(c.Number, "recording") + " to mix"
	case "voices":
		return fmt.Sprintf("%s more (%d)", unit.Count(c.More, "voice"), c.Number)
	}
	return c.Kind
}

// sooner takes a time from where it holds.
func sooner(value string) (by, where string) {
	by, short := strings.CutSuffix(value, " when short")
	if short {
		where = ", only where voices are short"
	}
	return by, where
}

// interval says how far semitones are, and which way: whole octaves as such.
func interval(semitones int) string {
	way, n, what := "up ", semitones, "semitone"
	if n < 0 {
		way, n = "down ", -n
	}
	if n%12 == 0 {
		n, what = n/12, "octave"
	}
	return way + unit.Count(n, what)
}

// beyond are the changes of a fix that another one has not.
func beyond(f, on *contract.Fix) (rest []contract.FixChange) {
	for _, c := range f.Changes {
		if !slices.ContainsFunc(on.Changes, func(d contract.FixChange) bool { return reflect.DeepEqual(c, d) }) {
			rest = append(rest, c)
		}
	}
	return rest
}

// banksText says who plays where, parts on the same banks together, and whose keys are split.
func banksText(list []contract.PartBanks) string {
	var order []string
	parts := map[string][]string{}
	for len(list) > 0 {
		p, n := list[0], 1
		for n < len(list) && list[n].FromKey > 0 {
			n++
		}
		where := "banks " + strings.Join(p.Banks, " ")
		if n > 1 {
			where = seatsText(list[:n])
		}
		if parts[where] == nil {
			order = append(order, where)
		}
		if list = list[n:]; p.Part == "" {
			p.Part = "all parts"
		}
		parts[where] = append(parts[where], p.Part)
	}
	var words []string
	for _, where := range order {
		words = append(words, unit.List(parts[where])+" "+where)
	}
	return strings.Join(words, "; ")
}

// seatsText says which keys of a part play on which banks.
func seatsText(seats []contract.PartBanks) string {
	var words []string
	for i, s := range seats {
		text := "from " + keyText(s)
		if i == 0 {
			text = "below " + keyText(seats[1])
		}
		words = append(words, "banks "+strings.Join(s.Banks, " ")+" "+text)
	}
	return strings.Join(words, ", ")
}

func keyText(s contract.PartBanks) string { return fmt.Sprintf("%s (%d)", s.FromKeyName, s.FromKey) }

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

// worseWords says for how long something is heard to be missing then.
func (s size) worseWords(f *contract.Fix) string {
	if m := f.After.Missing; m != nil {
		return fmt.Sprintf("You would hear something missing for %s, plainly for %s", unit.Span(m.HeardS), unit.Span(m.PlainS))
	}
	return "That leaves " + costWords(&f.After, &f.Leaves)
}

// costsLine says what fixes that are shown make worse.
func (s size) costsLine(shown []int) string {
	var all []string
	for _, at := range shown {
		f := &s.Fixes[at]
		var words []string
		for i := range f.Costs {
			words = append(words, costText(&f.Costs[i]))
		}
		if len(words) > 0 {
			all = append(all, fmt.Sprintf("%d by %s", f.Number, unit.List(words)))
		}
	}
	if len(all) == 0 {
		return ""
	}
	return "* Worse than as it is: " + strings.Join(all, "; ") + "."
}

func costText(c *contract.FixCost) string {
	switch c.What {
	case "heard":
		return unit.Tenths(c.By) + " dB·s heard"
	case "lost", "late":
		return unit.Span(c.By) + " " + c.What
	case "wrong":
		return unit.Count(int(c.By), "note") + " at the wrong pitch"
	case "moved":
		return unit.Count(int(c.By), "note") + " moved by octaves"
	}
	return unit.Count(int(c.By), "note") + " " + c.What
}

// harmsLine says which parts lose more by fixes that are shown.
func (s size) harmsLine(shown []int) string {
	var all []string
	for _, at := range shown {
		f := &s.Fixes[at]
		var words []string
		for _, h := range f.Harms {
			more := unit.Span(h.LostS)
			if h.Notes > 0 {
				more = unit.Count(h.Notes, "note")
			}
			words = append(words, h.Part+" "+more)
		}
		if len(words) > 0 {
			all = append(all, fmt.Sprintf("%d costs %s.", f.Number, unit.First(words, 3)))
		}
	}
	if len(all) == 0 {
		return ""
	}
	return "By part: " + strings.Join(all, " ")
}

// setUpsLine says which set-ups keep their banks.
func (s size) setUpsLine(shown []int) string {
	for _, at := range shown {
		if keep := s.Fixes[at].KeepBanks; len(keep) > 0 {
			return SetUpsKeep(keep)
		}
	}
	return ""
}

// SetUpsKeep says that set-ups go on with the banks that they name; empty for none.
func SetUpsKeep(names []string) string {
	switch len(names) {
	case 0:
		return ""
	case 1:
		return "Set-up " + names[0] + " keeps the banks that it names."
	}
	return "Set-ups " + unit.List(names) + " keep the banks that they name."
}

// sharedLine says of the fixes that are shown what comes with the banks that parts move to.
func (s size) sharedLine(shown []int) string {
	for _, at := range shown {
		f := &s.Fixes[at]
		if len(f.Shared) == 0 {
			continue
		}
		var banks, lanes []string
		effort := ""
		for i := range f.Shared {
			x := &f.Shared[i]
			if !slices.Contains(banks, x.Bank) {
				banks = append(banks, x.Bank)
			}
			for _, lane := range x.Lanes {
				if !slices.Contains(lanes, lane) {
					lanes = append(lanes, lane)
				}
			}
			if effort == "" && x.Effort != "setting" {
				effort = x.Part + " on " + x.Bank + " takes " + map[string]string{"sound": "the same sound", "wiring": "other cables"}[x.Effort]
			}
		}
		slices.Sort(banks)
		text := fmt.Sprintf("%d: what moves leaves by the submix of bank %s", f.Number, unit.Choice(banks))
		if len(lanes) > 0 {
			text += " and shares its " + unit.List(lanes)
		}
		return strings.Join(notEmpty([]string{text, effort}), "; ") + "."
	}
	return ""
}

// ladderLine says what is left after each step of the first fix, if it has several.
func (s size) ladderLine() string {
	if len(s.Fixes) == 0 || len(s.Fixes[0].Steps) == 0 {
		return ""
	}
	f := &s.Fixes[0]
	rest := f.Changes
	var steps []string
	for i := range f.Steps {
		n := 1
		for n < len(rest) && sameChange(&rest[n], &rest[0]) {
			n++
		}
		x := &f.Steps[i]
		steps = append(steps, fmt.Sprintf("%s leaves %d lost notes, %s plain", changesOf(rest[:n], f.Purchase), x.Cut+x.Dropped, unit.Span(x.Missing.PlainS)))
		if rest = rest[n:]; len(rest) == 0 {
			break
		}
	}
	return "Step by step: " + strings.Join(steps, "; ") + "."
}

// triedLine says how much was tried, and whether more could be found; in brief no more.
func (s size) triedLine(brief bool) string {
	x := s.Settings
	switch {
	case x == nil || x.Played < 2 && !x.Short:
		return ""
	case x.Played < 2:
		return "The budget ended before a fix was played; a longer --budget plays some."
	}
	of := strconv.FormatFloat(x.Of, 'f', 0, 64)
	if x.Of >= 1e6 {
		of = "more than a million"
	}
	tried := fmt.Sprintf("Played: %d of %s settings", x.Played, of)
	const enough = 2 // per cent
	switch {
	case x.Whole:
		tried = fmt.Sprintf("Played: all %s settings", of)
	case x.FurtherPercent != nil && *x.FurtherPercent < enough:
		tried += fmt.Sprintf("; no further single change gains %d %%", enough)
	case x.Short:
		tried += "; a longer --budget plays more"
	}
	if s.PairsAll > 0 {
		tried += fmt.Sprintf("; %d of %d pairs", s.PairsTried, s.PairsAll)
	}
	if len(s.Fixes) == 0 || brief {
		return tried + "."
	}
	command := "replay with its flags"
	if slices.ContainsFunc(s.Fixes, func(f contract.Fix) bool { return f.Command == writing }) {
		command += ", or what else is named,"
	}
	return tried + ". For each fix " + command + " says the same."
}
