package say

import (
	"fmt"
	"strconv"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/profiles/unit"
)

// SizeSongs says how many voices several songs want, the one that wants most
// first.
func SizeSongs(s *contract.SizeSongs) *doc.Doc {
	d := newDoc(unit.Count(len(s.Songs), "song")+" on "+s.Rig, s.Fingerprint)
	d.Add(doc.Answer{Text: sizeSongs{s}.summary()})
	if len(s.Songs) > 0 {
		d.Under("What each song wants", sizeSongs{s}.table(), doc.Aside{Text: "Must damage, damaged and tails: on the voices in service."})
	}
	d.Under("Findings", findings(s.Findings))
	return d
}

// sizeSongs puts how many voices several songs want into words.
type sizeSongs struct{ *contract.SizeSongs }

// summary is the answer in a sentence.
func (s sizeSongs) summary() string {
	text := fmt.Sprintf("%s on %s: ", unit.Count(len(s.Songs), "song"), label(s.Rig, s.Fingerprint))
	if s.Worst.Held.Voices == 0 {
		text += "nothing to play"
	} else {
		text += fmt.Sprintf("with the pedal half of them do with %d voices, the most are %d (%s); with every audible tail %d and %d (%s)",
			s.Median.Pedal, s.Worst.Pedal.Voices, songBase(s.Worst.Pedal.File), s.Median.Audible, s.Worst.Audible.Voices, songBase(s.Worst.Audible.File))
	}
	if len(s.Failed) > 0 {
		text += fmt.Sprintf("; %d could not be read", len(s.Failed))
	}
	return text + "."
}

func (s sizeSongs) table() doc.Table {
	t := doc.Table{Columns: []doc.Column{doc.Words("Song").Folds(24), doc.Number("Notes").Ranked(5), doc.Number("Keys").Ranked(4), doc.Number("Pedal"),
		doc.Number("Tails"), doc.Number("Must damage").Ranked(3), doc.Number("Damaged"), doc.Number("Tails cut").Ranked(1),
		doc.Number("Loudest").Ranked(6), doc.Number("Rules do no harm from").Ranked(2)}}
	songs := make([]*contract.Song, len(s.MostFirst))
	for i, at := range s.MostFirst {
		songs[i] = &s.Songs[at].Song
	}
	for i, name := range songNames(songs) {
		r := s.Songs[s.MostFirst[i]]
		floor := 0
		if p := (size{r}).point(r.Voices); p != nil {
			floor = p.FewestDamaged
		}
		t.Row("", name, unit.Cell(r.Song.Notes), unit.Cell(r.Enough.Held), unit.Cell(r.Enough.Pedal), unit.Cell(r.Enough.Audible),
			unit.Cell(floor), unit.Cell(r.Now.Damaged), unit.Cell(r.Now.TailCuts), unit.Level(r.Now.LoudestCutDB), harmlessFrom(&r.EnoughOwn))
		t.About("song " + strconv.Itoa(s.MostFirst[i]))
	}
	return t
}

// harmlessFrom is the number of voices from which on the rig's rules damage no
// note, and that from which on they cut no tail audibly.
func harmlessFrom(e *contract.OwnFrom) string {
	number := func(n *int) string {
		if n == nil {
			return unit.None
		}
		return strconv.Itoa(*n)
	}
	return number(e.Undamaged) + " / " + number(e.Untouched)
}
