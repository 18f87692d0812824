package text

import (
	"io"

	"choirloft/alloc/study"
	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/profiles/unit"
)

// Songs writes the view of several songs: a table, the worst song first.
func Songs(w io.Writer, s *contract.Songs, o Options) error {
	p := newPage(o)
	p.sentences(s.Summary)
	if len(s.Songs) == 0 {
		return p.flush(w)
	}
	p.gap()
	heads := []string{"Song", " Notes", " Held", " Audible", " Damaged", " At\nleast", " Over-\nlap", " Other\ntail", " Loudest", " Lost"}
	late := s.BeganLate()
	if late {
		heads = append(heads, " Late\nstart")
	}
	g := newGrid(heads...)
	sorted := s.WorstFirst()
	for i, name := range contract.Names(sorted) {
		r := sorted[i]
		cells := []string{name, unit.Cell(r.Song.Notes), unit.Cell(r.Demand.Held), unit.Cell(r.Demand.Audible),
			unit.Cell(r.Damaged), unit.Cell(r.Bound.FewestDamaged), unit.Cell(r.Endings[study.OverlapOnly]),
			unit.Cell(r.Endings[study.TailCutOtherKey]), unit.Level(r.LoudestCutDB), unit.Span(r.LostGateS)}
		if late {
			cells = append(cells, unit.Cell(r.Endings[study.LateStart]))
		}
		g.add(cells...)
	}
	p.lines(g.lines()...)
	return p.flush(w)
}
