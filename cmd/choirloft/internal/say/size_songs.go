package say

import (
	"fmt"
	"slices"
	"strconv"
	"unicode/utf8"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/profiles/unit"
)

// SizeSongs says how many voices several songs need, the one that loses most
// first.
func SizeSongs(s *contract.SizeSongs) *doc.Doc {
	d := newDoc(unit.Count(len(s.Songs), "song")+" on "+s.Rig, s.Fingerprint)
	d.Add(doc.Answer{Text: sizeSongs{s}.summary()}, doc.Sentences(sizeSongs{s}.advice()...))
	if len(s.Songs) > 0 {
		d.Under("What each song loses on the voices in service, and needs", sizeSongs{s}.table())
	}
	if s.Set != nil {
		d.Under("Fixes for all songs, the best by ear first", setTable(s.Set), doc.Sentences(setLines(s.Set)...))
	}
	d.Under("Findings", findings(s.Findings))
	return d
}

// setTable lists fixes for several songs, with what all of them leave, and the worst.
func setTable(s *contract.SetFixes) doc.Table {
	t := doc.Table{Columns: []doc.Column{words("effort").Ranked(2), number("cut"), number("dropped"), number("lost").Ranked(3),
		number("plain time"), number("heard time"), words("worst song").Folds(16).Ranked(1), words("fix").Folds(36)}}
	row := func(effort, text string, l *contract.SetLeft) {
		x := &l.Sum
		t.Row("", slices.Concat([]string{effort}, leftCells(x.Dropped, x.Cut, x.LostS, x.Missing),
			[]string{songBase(l.File) + ", " + unit.Span(l.Worst.Missing.HeardS), text})...)
	}
	row("", "as it is", &s.Now)
	for i := range s.Fixes {
		f := &s.Fixes[i]
		effort := f.Asks
		if len(f.Costs) > 0 {
			effort += "*"
		}
		row(effort, fmt.Sprintf("%d. %s: %s", f.Number, changesOf(f.Changes, f.Purchase), Typed(f.Flags)), &f.After)
	}
	return t
}

// setLines say what fixes for several songs make worse, in all and part by part, what they share, and how many were played.
func setLines(s *contract.SetFixes) []string {
	if len(s.Fixes) == 0 {
		return []string{"No fix tried makes them better."}
	}
	all := size{&contract.SizeResult{Settings: s.Settings}}
	var shown []int
	for i := range s.Fixes {
		f := &s.Fixes[i]
		all.Fixes, shown = append(all.Fixes, contract.Fix{Number: f.Number, Command: "replay", Costs: f.Costs, Harms: f.Harms, KeepBanks: f.KeepBanks, Shared: f.Shared}), append(shown, i)
	}
	return notEmpty([]string{all.costsLine(shown), all.harmsLine(shown), all.sharedLine(shown), all.setUpsLine(shown), all.triedLine(false)})
}

// sizeSongs puts how many voices several songs need into words.
type sizeSongs struct{ *contract.SizeSongs }

// summary is the answer in a sentence.
func (s sizeSongs) summary() string {
	all := unit.Count(len(s.Songs), "song")
	if s.Worst.Held.Voices == 0 {
		return all + ": nothing to play."
	}
	half, median, most := "half", s.Median.Pedal, s.Worst.Pedal
	if e := s.ByEarKnown; e != nil {
		median, most = e.Median, e.Most
		if e.Known < e.Of {
			half = fmt.Sprintf("half of %d judged by ear", e.Known)
		}
	}
	line := func(worst, has string) string {
		return fmt.Sprintf("%s: %s get by on %s, %s needs %d; %s%d in service.", all, half, unit.Count(median, "voice"), worst, most.Voices, has, s.Songs[0].Voices)
	}
	worst := songBase(most.File)
	if whole := line(worst, s.Rig+" has "); utf8.RuneCountInString(whole) <= headWidth {
		return whole
	}
	return line(yield(worst, utf8.RuneCountInString(line(worst, ""))-headWidth), "")
}

// advice says what is lost on the rig as it is, and what more there is to know.
func (s sizeSongs) advice() []string {
	lines := []string{}
	if s.Worst.Held.Voices > 0 {
		lines = append(lines, s.lossLine(), s.restLine(), fmt.Sprintf("For every release tail, half get by on %d, %s needs %d.",
			s.Median.Audible, songBase(s.Worst.Audible.File), s.Worst.Audible.Voices))
		if n := s.deaf(); n > 0 {
			lines = append(lines, "The voices needed by ear are not known for "+unit.Count(n, "song")+": a longer --budget finds them.")
		}
	}
	cut := 0
	for _, r := range s.Songs {
		if r.Song.CutOff {
			cut++
		}
	}
	lines = append(lines, notEmpty([]string{cutOffFiles(cut)})...)
	if len(s.Songs) > 0 {
		lines = append(lines, notEmpty([]string{noJack(s.Songs[0].NoJack), oldReadings(s.Songs[0].OldReadings)})...)
	}
	if s.Worst.Held.Voices > 0 {
		lines = append(lines, notEmpty([]string{rangeOfSongs(s.Songs[0].RestsOn.Values)})...)
	}
	if n := len(s.Failed); n > 0 {
		lines = append(lines, unit.Count(n, "song")+" could not be read.")
	}
	return lines
}

// deaf counts the songs with notes of which it is not known how many voices they need
// by ear.
func (s sizeSongs) deaf() (n int) {
	for _, r := range s.Songs {
		if r.Song.Notes > 0 && byEar(&r.Demand) == nil && (r.Hearing == nil || covered(r.Hearing, "demand")) {
			n++
		}
	}
	return n
}

// lossLine counts the songs by what they lose on the voices in service.
func (s sizeSongs) lossLine() string {
	var unplayed, wrong, cut, heard, tails, clean, known int
	for _, r := range s.Songs {
		count := func(n *int, is bool) {
			if is {
				*n++
			}
		}
		count(&unplayed, r.Unmapped > 0)
		count(&wrong, r.WrongNotes() > 0)
		count(&cut, r.Now.Damaged > 0)
		count(&tails, r.Now.TailCuts > 0)
		count(&known, r.Now.Heard != nil)
		count(&heard, r.Now.Heard != nil && r.Now.Heard.Faint > 0)
		count(&clean, !r.Song.CutOff && r.Unmapped+r.WrongNotes()+r.Now.Damaged == 0 && !(size{r}).lossHeard())
	}
	if known > 0 {
		return fmt.Sprintf("Songs with notes cut short or dropped: %d; with losses that you would hear: %d; at the wrong pitch: %d; unplayed: %d; without any of it: %d.",
			cut, heard, wrong, unplayed, clean)
	}
	return fmt.Sprintf("Songs with notes cut short or dropped: %d; at the wrong pitch: %d; unplayed: %d; with tails cut: %d; without loss: %d.",
		cut, wrong, unplayed, tails, clean)
}

// restLine says what the most that a song needs rests on, and how far it moves it.
func (s sizeSongs) restLine() string {
	most := size{s.Songs[s.MostFirst[0]]}
	for _, r := range s.Songs {
		switch e, n := s.ByEarKnown, byEar(&r.Demand); {
		case e != nil && n != nil && r.Song.File == e.Most.File && *n == e.Most.Voices:
			return size{r}.restLine()
		case e == nil && r.Song.File == s.Worst.Audible.File && r.Enough.Audible == s.Worst.Audible.Voices:
			most = size{r}
		}
	}
	return most.restLine()
}

func (s sizeSongs) table() doc.Table {
	t := doc.Table{Columns: []doc.Column{words("song").Folds(24), number("notes").Ranked(7), number("unplayed"), number("wrong pitch").Ranked(1),
		number("cut or dropped"), number("best possible").Ranked(4), number("heard losses"), number("plain losses"), number("tails cut").Ranked(6), number("loudest").Ranked(8),
		number("needed by ear"), number("keys").Ranked(5), number("with pedal").Ranked(2), number("with tails").Ranked(3)}}
	songs := make([]*contract.Song, len(s.WorstFirst))
	for i, at := range s.WorstFirst {
		songs[i] = &s.Songs[at].Song
	}
	for i, name := range songNames(songs) {
		r := s.Songs[s.WorstFirst[i]]
		heard, plain := "", ""
		if h := r.Now.Heard; h != nil {
			heard, plain = unit.Cell(h.Faint), unit.Cell(h.Plain)
		}
		t.Row("", name, unit.Cell(r.Song.Notes), unit.Cell(r.Unmapped), unit.Cell(r.WrongNotes()), unit.Cell(r.Now.Damaged), unit.Cell(r.FewestDamaged), heard, plain,
			unit.Cell(r.Now.TailCuts), unit.Level(r.Now.LoudestCutDB), countCell(byEar(&r.Demand)), unit.Cell(r.Enough.Held), unit.Cell(r.Enough.Pedal), unit.Cell(r.Enough.Audible))
		t.About("song " + strconv.Itoa(s.WorstFirst[i]))
	}
	return t.WithoutEmpty("")
}
