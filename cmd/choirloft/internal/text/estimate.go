package text

import (
	"encoding/csv"
	"io"
	"strconv"

	"choirloft/cmd/choirloft/internal/contract"
)

// Estimate writes the view of an estimate: the answer first, then what to make
// of it, and the curve.
func Estimate(w io.Writer, e *contract.Estimate, o Options) error {
	p := newPage(o)
	p.answer(e.Summary, estimateTone(e))
	p.hanging(e.Advice...)
	p.gap()
	g := newGrid(" Voices", " Must\ndamage", " Refusing:\nErlang B", " played", " Oldest:\nPoisson", " chords", " played", " Own rules:\nplayed", " tails", "")
	for _, row := range e.Rows() {
		g.add(strconv.Itoa(row.Voices), contract.ShareCell(row.MustDamage), contract.ShareCell(row.ErlangB), row.Refusing.Cell(),
			contract.ShareCell(row.Poisson), contract.ShareCell(row.Chords), row.Oldest.Cell(), row.Own.Cell(), contract.ShareCell(row.Own.TailShare), e.Mark(row))
	}
	p.lines(g.lines()...)
	p.hanging("Per cent of the notes that are damaged. Must damage: in the run, whatever the rule. Own rules: " + e.Rules + "; tails: cut audibly by another key.")
	return p.flush(w)
}

func estimateTone(e *contract.Estimate) colour {
	if n := e.Enough[0].Chords; n != nil && *n <= e.Voices {
		return green
	}
	return yellow
}

// EstimateCSV writes the curve as RFC 4180 has it.
func EstimateCSV(w io.Writer, e *contract.Estimate) error {
	c := csv.NewWriter(w)
	c.UseCRLF = true
	return c.WriteAll(contract.EstimateRecords(e))
}
