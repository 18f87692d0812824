package say

import (
	"fmt"
	"strconv"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/profiles/unit"
)

// SetUps says which set-ups a rig has, who plays which voices in each, and what a song loses there.
func SetUps(v *contract.SetUps) *doc.Doc {
	s, d := setUps{v}, newDoc("Set-ups of "+v.Rig, v.Fingerprint)
	d.Add(doc.Answer{Text: s.summary() + "."})
	if len(s.SetUps.SetUps) > 0 {
		d.Add(s.table(), doc.Sentences(s.lines()...))
	} else {
		d.Add(doc.Paragraph{Text: "Write them under set_ups, as in set_ups: {studio: {from: main}, stage: {from: seq, parts: {1: K}}}."})
	}
	return d
}

// setUps puts them into words.
type setUps struct{ *contract.SetUps }

// summary is the answer in a sentence.
func (s setUps) summary() string {
	if len(s.SetUps.SetUps) == 0 {
		return s.Rig + " has no set-ups: it is patched in one way"
	}
	var names []string
	for i := range s.SetUps.SetUps {
		names = append(names, s.SetUps.SetUps[i].Name)
	}
	return fmt.Sprintf("%s has %s: %s", s.Rig, unit.Count(len(names), "set-up"), unit.List(names))
}

// table is a row a set-up.
func (s setUps) table() doc.Table {
	t := doc.Table{Columns: []doc.Column{words("set-up"), words("patched from"), number("cables plugged"), number("voices of a song")}}
	if s.Song != nil {
		t.Columns = append(t.Columns, number("cut or dropped"), number("heard losses"), number("plain losses"))
	}
	for i := range s.SetUps.SetUps {
		u := &s.SetUps.SetUps[i]
		cells := []string{u.Name, unit.List(u.From), strconv.Itoa(u.Cables), unit.Cell(len(u.Dealt))}
		if s.Song != nil {
			cells = append(cells, lossCells(u.Cost)...)
		}
		t.Row("", cells...)
		t.About("set-up " + u.Name)
	}
	return t
}

// lossCells are what is cut or dropped, and how many losses are heard, plainly too.
func lossCells(c *contract.Cost) []string {
	switch {
	case c == nil:
		return []string{unit.None, unit.None, unit.None}
	case c.Heard == nil:
		return []string{unit.Cell(c.Damaged), unit.None, unit.None}
	}
	return []string{unit.Cell(c.Damaged), unit.Cell(c.Heard.Faint), unit.Cell(c.Heard.Plain)}
}

// lines say of each set-up who plays what, and what the song loses.
func (s setUps) lines() (lines []string) {
	for i := range s.SetUps.SetUps {
		u := &s.SetUps.SetUps[i]
		lines = append(lines, u.Name+": "+players(u)+".")
		if len(u.Silent) > 0 {
			lines = append(lines, "Nothing plays "+unit.Several(u.Silent)+" there.")
		}
		if u.Cost != nil {
			lines = append(lines, songName(s.Song)+" in "+u.Name+": "+costWords(u.Cost, u.Leaves)+".")
		}
	}
	return lines
}

// players says who plays in a set-up: a sequencer, bank by bank, and what is left to the interfaces.
func players(u *contract.SetUp) string {
	if len(u.Parts) == 0 {
		return unit.List(u.From) + " plays a song on " + unit.Count(len(u.Dealt), "voice")
	}
	var banks []string
	for _, p := range u.Parts {
		banks = append(banks, p.Banks...)
	}
	text := fmt.Sprintf("%s plays %s, each bank as one voice; ", u.From[0], unit.Named("bank", banks, 6))
	if len(u.Dealt) == 0 {
		return text + "no voice is left for a song"
	}
	return text + unit.Several(u.Dealt) + " are left for a song"
}
