package text

import (
	"io"

	"choirloft/alloc/study"
	"choirloft/cmd/choirloft/internal/contract"
)

// Songs writes the view of several songs: a table, the worst song first.
func Songs(w io.Writer, s *contract.Songs, o Options) error {
	p := newPage(o)
	p.sentences(s.Summary)
	if len(s.Songs) == 0 {
		return p.flush(w)
	}
	p.gap()
	g := newGrid("Song", " Notes", " Held", " Audible", " Damaged", " At\nleast", " Over-\nlap", " Other\ntail", " Loudest", " Lost")
	sorted := s.WorstFirst()
	for i, name := range contract.Names(sorted) {
		r := sorted[i]
		g.add(name, contract.Cell(r.Song.Notes), contract.Cell(r.Demand.Held), contract.Cell(r.Demand.Audible),
			contract.Cell(r.Damaged), contract.Cell(r.Bound.FewestDamaged), contract.Cell(r.Endings[study.OverlapOnly]),
			contract.Cell(r.Endings[study.TailCutOtherKey]), contract.Level(r.LoudestCutDB), contract.Span(r.LostGateS))
	}
	p.lines(g.lines()...)
	return p.flush(w)
}
