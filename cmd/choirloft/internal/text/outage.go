package text

import (
	"io"

	"choirloft/cmd/choirloft/internal/contract"
)

// Outage writes what it means that a voice fails.
func Outage(w io.Writer, r *contract.Outage, o Options) error {
	p := newPage(o)
	p.answer(r.Summary+".", yellow)
	p.hanging(r.Lines()...)
	p.section(r.RowTable())
	if len(r.New) > 0 {
		p.gap()
		p.findings(r.New)
	}
	for i := range r.Songs {
		s := &r.Songs[i]
		p.gap()
		p.hanging(s.Lines()...)
		p.lossTable(s.LossLine(mostLosses), s.Worst(mostLosses))
	}
	return p.flush(w)
}
