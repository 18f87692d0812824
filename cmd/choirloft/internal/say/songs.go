package say

import (
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"choirloft/alloc/study"
	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/profiles/unit"
)

// mostSongs is how many songs a screen has room for.
const mostSongs = 12

// Songs says what several songs lost: a table, the worst song first.
func Songs(v *contract.Songs, room Room) *doc.Doc {
	s := songs{v}
	d := newDoc(unit.Count(len(s.v.Songs), "song")+" on "+s.v.Rig, s.v.Fingerprint)
	lines := s.headline()
	d.Add(doc.Answer{Text: lines[0], Tone: s.tone()}, doc.Sentences(s.lines(lines)...))
	if len(s.v.Songs) > 0 {
		most := room.of(mostSongs, len(s.v.Songs))
		d.Under("Songs, the worst first", s.table(room), s.more(most))
	}
	return d
}

// lines are what follows the answer. What it rests on is within the first four lines
// of a terminal.
func (s songs) lines(headline []string) []string {
	at := 3
	if utf8.RuneCountInString(headline[0]) > headWidth {
		at--
	}
	all := slices.Insert(slices.Clone(headline), min(at, len(headline)), s.basis())
	if len(s.v.Songs) > 0 && s.basis() != "" {
		all = append(all, rangeOfSongs(s.v.Songs[0].RestsOn.Values))
	}
	return append(all[1:], s.best())
}

// songs puts what several songs lost into words.
type songs struct{ v *contract.Songs }

// names is what to call each of some results.
func (s songs) names(results []*contract.Result) []string {
	all := make([]*contract.Song, len(results))
	for i, r := range results {
		all[i] = &r.Song
	}
	return songNames(all)
}

// table is a row a song.
func (s songs) table(room Room) doc.Table {
	most := room.of(mostSongs, len(s.v.Songs))
	late := s.has(func(r *contract.Result) bool { return r.Endings[study.LateStart] > 0 })
	t := doc.Table{Columns: []doc.Column{words("song").Folds(20), number("notes").Ranked(4), number("unplayed"), number("wrong pitch"), number("cut or dropped"),
		number("best possible").Ranked(2), number("lost").Ranked(5)}}
	byEar := s.has(func(r *contract.Result) bool { return r.Heard != nil })
	if byEar {
		t.Columns = append(t.Columns, number("seconds heard").Ranked(1), number("seconds plain").Ranked(3), number("heard losses"), number("plain losses"))
	}
	if !byEar || room == All {
		t.Columns = append(t.Columns, number("tails cut").Ranked(6), number("loudest").Ranked(7))
	}
	if late {
		t.Columns = append(t.Columns, number("began late").Ranked(5))
	}
	sorted := s.v.WorstFirst()
	for i, name := range s.names(sorted) {
		if i >= most {
			break
		}
		r := sorted[i]
		cells := []string{name, unit.Cell(r.Song.Notes), unit.Cell(r.Flags.Unmapped), unit.Cell(r.WrongPitches()), unit.Cell(r.Damaged),
			unit.Cell(r.Bound.FewestDamaged), unit.Span(r.LostGateS)}
		if byEar {
			cells = append(cells, heardCells(result{Result: r}.heardFigures())...)
		}
		if !byEar || room == All {
			cells = append(cells, unit.Cell(r.Endings[study.TailCutOtherKey]), unit.Level(r.LoudestCutDB))
		}
		if late {
			cells = append(cells, unit.Cell(r.Endings[study.LateStart]))
		}
		t.Row("", cells...)
	}
	return t
}

// more says how many songs the table leaves out.
func (s songs) more(most int) doc.Paragraph {
	n := len(s.v.Songs) - most
	if n <= 0 {
		return doc.Paragraph{}
	}
	return doc.Paragraph{Text: unit.Count(n, "more song") + " with --all."}
}

// has tells whether it holds of some song.
func (s songs) has(of func(*contract.Result) bool) bool { return slices.ContainsFunc(s.v.Songs, of) }

// count says of how many songs it holds.
func (s songs) count(of func(*contract.Result) bool) (n int) {
	for _, r := range s.v.Songs {
		if of(r) {
			n++
		}
	}
	return n
}

// sum adds a number up over all songs.
func (s songs) sum(of func(*contract.Result) int) (n int) {
	for _, r := range s.v.Songs {
		n += of(r)
	}
	return n
}

// The numbers of a song that count.
func droppedIn(r *contract.Result) int    { return r.Endings[study.Dropped] }
func cutShortIn(r *contract.Result) int   { return r.Damaged - r.Endings[study.Dropped] }
func unplayedIn(r *contract.Result) int   { return r.Flags.Unmapped }
func wrongPitchIn(r *contract.Result) int { return r.WrongPitches() }
func tailsCutIn(r *contract.Result) int   { return r.Endings[study.TailCutOtherKey] }

// heardIn counts the losses that are heard.
func heardIn(r *contract.Result) int {
	if r.Heard == nil {
		return 0
	}
	return *r.Heard.Faint
}

// headline is the answer: how many songs come through, then all that is wrong
// that counts, in the order by which the table has the worst song first.
func (s songs) headline() []string {
	on := s.v.Rig
	if len(s.v.Songs) > 0 {
		on = unit.Count(s.v.Songs[0].Demand.Voices, "voice")
	}
	lines := []string{fmt.Sprintf("%s on %s: %s.", unit.Count(len(s.v.Songs), "song"), on, s.fates())}
	for _, x := range []struct {
		of   func(*contract.Result) int
		what string
	}{{droppedIn, "dropped"}, {unplayedIn, "played by no part"}} {
		lines = append(lines, s.lossLine(x.of, "note", x.what))
	}
	lines = append(lines, s.heardLine(), s.lossLine(cutShortIn, "note", "cut short"), s.lossLine(wrongPitchIn, "note", "at the wrong pitch"))
	lines = append(lines, cutOffFiles(s.count(func(r *contract.Result) bool { return r.Song.CutOff })))
	if len(s.v.Songs) > 0 {
		first := s.v.Songs[0] // of the rig: the same for all
		lines = append(lines, notEmpty([]string{noJack(first.NoJack), oldReadings(first.OldReadings)})...)
	}
	return notEmpty(append(lines, s.unheardLine()))
}

// heardLine says how many losses would be heard, where that is known, and else how
// many tails are cut.
func (s songs) heardLine() string {
	if s.has(heard) {
		return s.lossLine(heardIn, "loss", "that you would hear")
	}
	return s.lossLine(tailsCutIn, "audible tail", "cut by another note")
}

// unheardLine says of how many songs it is not known what would be heard.
func (s songs) unheardLine() string {
	n := s.count(func(r *contract.Result) bool { return r.Hearing != nil && r.Heard == nil })
	if n == 0 {
		return ""
	}
	return "What you would hear is not known for " + unit.Count(n, "song") + ": too long for the time allowed."
}

func heard(r *contract.Result) bool { return r.Heard != nil }

// lossLine adds up what songs lose in one way, and names the worst where it is the
// first of the table.
func (s songs) lossLine(of func(*contract.Result) int, thing, what string) string {
	n := s.sum(of)
	if n == 0 {
		return ""
	}
	in := s.count(func(r *contract.Result) bool { return of(r) > 0 })
	worst := s.v.WorstFirst()[0]
	most := slices.MaxFunc(s.v.Songs, func(a, b *contract.Result) int { return of(a) - of(b) })
	things := unit.Count(n, thing)
	if thing == "loss" {
		things = losses(n)
	}
	text := fmt.Sprintf("%s %s in %s", things, what, unit.Count(in, "song"))
	if in > 1 && of(worst) == of(most) {
		most := fmt.Sprintf(": %d", of(worst))
		text += ", most in "
		name := songBase(worst.Song.File)
		text += yield(name, utf8.RuneCountInString(text+name+most)+1-headWidth) + most
	}
	return text + "."
}

// fates says how many songs come through.
func (s songs) fates() string {
	var kinds []string
	add := func(n int, what string) {
		if n > 0 {
			kinds = append(kinds, fmt.Sprintf("%d %s", n, what))
		}
	}
	hurt := func(r *contract.Result) bool { return r.Damaged+unplayedIn(r)+wrongPitchIn(r) > 0 }
	late := func(r *contract.Result) bool { return !hurt(r) && r.LostGateS > 0 }
	missed := func(r *contract.Result) bool {
		return !hurt(r) && !late(r) && (result{Result: r}).lossHeard()
	}
	add(s.count(hurt), "with notes lost or wrong")
	add(s.count(late), "with notes a little late")
	add(s.count(func(r *contract.Result) bool { return missed(r) && heard(r) }), "with losses that you would hear")
	add(s.count(func(r *contract.Result) bool { return missed(r) && !heard(r) }), "with cut tails only")
	fine := func(r *contract.Result) bool {
		return r.Song.Notes > 0 && !r.Song.CutOff && !hurt(r) && !late(r) && !missed(r)
	}
	add(s.count(func(r *contract.Result) bool { return fine(r) && tailsCutIn(r) > 0 }), "with nothing missing that you would hear")
	add(s.count(func(r *contract.Result) bool { return fine(r) && tailsCutIn(r) == 0 }), "without a loss")
	add(s.count(func(r *contract.Result) bool { return r.Song.CutOff && !hurt(r) && !late(r) && !missed(r) }), "in a damaged file")
	add(s.count(func(r *contract.Result) bool { return r.Song.Notes == 0 && unplayedIn(r) == 0 && !r.Song.CutOff }), "without notes")
	add(len(s.v.Failed), "could not be read")
	if len(kinds) == 0 {
		return "nothing to play"
	}
	return strings.Join(kinds, ", ")
}

// tone is that of the answer.
func (s songs) tone() doc.Tone {
	worst := doc.Good
	for _, r := range s.v.Songs {
		switch (result{r, s.v.MiddleC, wholeList}).tone() {
		case doc.Bad:
			return doc.Bad
		case doc.Fair:
			worst = doc.Fair
		}
	}
	return worst
}

// best says how many notes no rule can save.
func (s songs) best() string {
	cut := s.sum(func(r *contract.Result) int { return r.Damaged })
	if cut == 0 {
		return ""
	}
	least := s.sum(func(r *contract.Result) int { return r.Bound.FewestDamaged })
	if least == cut {
		return "No rule cuts or drops fewer on so many voices."
	}
	return fmt.Sprintf("The best possible on so many voices: %s cut or dropped.", unit.Count(least, "note"))
}

// basis says what the answer rests on.
func (s songs) basis() string {
	if !s.has(func(r *contract.Result) bool { return r.Song.Notes > 0 }) {
		return ""
	}
	var longer, shorter, now contract.Cost
	for _, r := range s.v.Songs {
		b := &r.RestsOn
		longer.Damaged, longer.TailCuts = longer.Damaged+b.Longer.Damaged, longer.TailCuts+b.Longer.TailCuts
		shorter.Damaged, shorter.TailCuts = shorter.Damaged+b.Shorter.Damaged, shorter.TailCuts+b.Shorter.TailCuts
		now.Damaged, now.TailCuts = now.Damaged+r.Damaged, now.TailCuts+tailsCutIn(r)
	}
	first := &s.v.Songs[0].RestsOn
	if h := s.hearing(); h != nil {
		return basisByEar(&first.Values, h, swingOfNotes(first.StepPercent, now.Damaged, &longer, &shorter))
	}
	return basisLine(&first.Values, swing(first.StepPercent, &now, &longer, &shorter))
}

// hearing is what it rests on by ear, of the rig: the same for all; nil where nobody
// listened.
func (s songs) hearing() *contract.Hearing {
	for _, r := range s.v.Songs {
		if r.Heard != nil {
			return r.Hearing
		}
	}
	return nil
}

// summary is the headline as one text.
func (s songs) summary() string { return strings.Join(s.headline(), " ") }
