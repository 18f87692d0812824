package text

import (
	"encoding/csv"
	"fmt"
	"io"

	"choirloft/cmd/choirloft/internal/contract"
)

// Repatch writes the way from one set-up to another, as a list to tick off.
func Repatch(w io.Writer, r *contract.Repatch, o Options) error {
	p := newPage(o)
	tone := checkTone(r.Findings)
	if tone == "" {
		tone = green
	}
	p.answer(r.Summary+".", tone)
	for i, s := range r.Steps() {
		p.gap()
		p.hanging(fmt.Sprintf("%d  %s", i+1, s.Do))
		for _, line := range s.Lines {
			p.hanging("   [ ] " + line)
		}
	}
	if effects := r.Effects(); len(effects) > 0 {
		p.gap()
		p.hanging(effects...)
	}
	p.section(r.WayTable())
	if len(r.Findings) > 0 {
		p.gap()
		p.findings(r.Findings)
	}
	p.gap()
	p.hanging(r.Cautions()...)
	return p.flush(w)
}

// RepatchCSV writes a row a move, as RFC 4180 has it.
func RepatchCSV(w io.Writer, r *contract.Repatch, _ Options) error {
	c := csv.NewWriter(w)
	c.UseCRLF = true
	return c.WriteAll(r.Records())
}
