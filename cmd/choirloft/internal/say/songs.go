package say

import (
	"choirloft/alloc/study"
	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/profiles/unit"
	"fmt"
	"slices"
)

// Songs says what several songs lost: a table, the worst song first.
func Songs(v *contract.Songs) *doc.Doc {
	s := songs{v}
	d := newDoc(unit.Count(len(s.v.Songs), "song")+" on "+s.v.Rig, s.v.Fingerprint)
	d.Add(doc.Answer{Text: s.summary()})
	if len(s.v.Songs) > 0 {
		d.Under("Songs, the worst first", s.table())
	}
	return d
}

// songs puts what several songs lost into words.
type songs struct{ v *contract.Songs }

// table is a row a song.
func (s songs) table() doc.Table {
	late := s.beganLate()
	t := doc.Table{Columns: []doc.Column{doc.Words("Song"), doc.Number("Notes"), doc.Number("Held").Ranked(2), doc.Number("Audible").Ranked(2), doc.Number("Damaged"),
		doc.Number("At least"), doc.Number("Overlap").Ranked(3), doc.Number("Other tail"), doc.Number("Loudest").Ranked(1), doc.Number("Lost")}}
	if late {
		t.Columns = append(t.Columns, doc.Number("Late start"))
	}
	sorted := s.v.WorstFirst()
	for i, name := range contract.Names(sorted) {
		r := sorted[i]
		cells := []string{name, unit.Cell(r.Song.Notes), unit.Cell(r.Demand.Held), unit.Cell(r.Demand.Audible),
			unit.Cell(r.Damaged), unit.Cell(r.Bound.FewestDamaged), unit.Cell(r.Endings[study.OverlapOnly]),
			unit.Cell(r.Endings[study.TailCutOtherKey]), unit.Level(r.LoudestCutDB), unit.Span(r.LostGateS)}
		if late {
			cells = append(cells, unit.Cell(r.Endings[study.LateStart]))
		}
		t.Row("", cells...)
	}
	return t
}

func (s songs) summary() string {
	text := fmt.Sprintf("%s on %s: %s", unit.Count(len(s.v.Songs), "song"), label(s.v.Rig, s.v.Fingerprint), s.fates())
	silent := 0
	for _, r := range s.v.Songs {
		if r.Song.Notes == 0 {
			silent++
		}
	}
	if silent > 0 {
		text += fmt.Sprintf("; %d without notes", silent)
	}
	if len(s.v.Failed) > 0 {
		text += fmt.Sprintf("; %d could not be read", len(s.v.Failed))
	}
	return text + "."
}

// fates says how many songs come through.
func (s songs) fates() string {
	whole, bare, late, damaged := 0, 0, 0, 0
	for _, r := range s.v.Songs {
		switch {
		case r.Song.Notes == 0:
		case r.Damaged > 0:
			damaged++
		case r.LostGateS > 0:
			late++
		case r.Endings[study.TailCutOtherKey] > 0:
			bare++
		default:
			whole++
		}
	}
	var words []string
	for _, f := range []struct {
		n    int
		what string
	}{{whole, "without a loss"}, {bare, "with cut tails only"}, {late, "with notes a little late"}, {damaged, "with damaged notes"}} {
		if f.n > 0 {
			words = append(words, fmt.Sprintf("%d %s", f.n, f.what))
		}
	}
	if len(words) == 0 {
		return "nothing to play"
	}
	text := unit.List(words)
	if damaged > 0 {
		worst := s.v.WorstFirst()[0]
		text += fmt.Sprintf("; the worst is %s with %d of %d", worst.Song.Base(), worst.Damaged, worst.Song.Notes)
	}
	return text
}

// beganLate tells whether in some song a note began too late.
func (s songs) beganLate() bool {
	return slices.ContainsFunc(s.v.Songs, func(r *contract.Result) bool { return r.Endings[study.LateStart] > 0 })
}
