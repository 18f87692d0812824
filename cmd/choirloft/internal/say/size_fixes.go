package say

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/profiles/pattern"
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
		dropped, cut, lost := s.Now.Dropped, s.Now.Cut(), s.Now.LostGateS
		if left := s.NowLeft; left != nil { // counted as of the fixes
			dropped, cut, lost = left.Dropped, left.Cut, left.LostS
		}
		row("", leftCells(dropped, cut, lost, s.Now.Missing), s.WrongNotes(), "as it is")
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
var plainWord = pattern.Of(`^[\pL\pN_@%+=:,./-]+$`)

// Typed writes words of a command as one would type them.
func Typed(words []string) string {
	all := make([]string, len(words))
	for i, w := range words {
		switch {
		case plainWord().MatchString(w):
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
