package text

import (
	"io"

	"choirloft/alloc/study"
	"choirloft/cmd/choirloft/internal/report"
)

// Songs writes the view of several songs: a table, the worst song first.
func Songs(w io.Writer, s *report.Songs, o Options) error {
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
	for i, name := range report.Names(sorted) {
		r := sorted[i]
		cells := []string{name, report.Cell(r.Song.Notes), report.Cell(r.Demand.Held), report.Cell(r.Demand.Audible),
			report.Cell(r.Damaged), report.Cell(r.Bound.FewestDamaged), report.Cell(r.Endings[study.OverlapOnly]),
			report.Cell(r.Endings[study.TailCutOtherKey]), report.Level(r.LoudestCutDB), report.Span(r.LostGateS)}
		if late {
			cells = append(cells, report.Cell(r.Endings[study.LateStart]))
		}
		g.add(cells...)
	}
	p.lines(g.lines()...)
	return p.flush(w)
}
