package text

import (
	"encoding/csv"
	"io"

	"choirloft/cmd/choirloft/internal/contract"
)

// Map writes the channel map: the answer, the voices as they would be taped to
// the wall, then everything else.
func Map(w io.Writer, m *contract.Map, o Options) error {
	p := newPage(o)
	tone := checkTone(m.Findings)
	if tone == "" {
		tone = green // nothing but remarks
	}
	p.answer(m.Summary+".", tone)
	p.gap()
	p.lines(fixed(m.VoiceTable())...)
	if t := m.LaneTable(); len(t.Groups) > 0 {
		p.gap()
		p.lines(fixed(t)...)
	}
	p.gap()
	p.hanging(m.SpareLines()...)
	p.hanging(m.PathLines()...)
	p.gap()
	p.hanging(m.Growth.Lines()...)
	p.section(m.BudgetTable())
	if lines := m.CableLines(); len(lines) > 0 {
		p.gap()
		p.lines(lines...)
	}
	for i := range m.Unisons {
		p.gap()
		p.unison(&m.Unisons[i])
	}
	if len(m.Findings) > 0 {
		p.gap()
		p.findings(m.Findings)
	}
	p.gap()
	p.hanging(m.Cautions()...)
	return p.flush(w)
}

func (p *page) unison(u *contract.Unison) {
	p.hanging(u.Head())
	p.lines(fixed(u.PositionTable())...)
	p.lines(fixed(u.BeatTable())...)
	p.hanging(u.Rest()...)
}

// MapCSV writes a row a jack, as RFC 4180 has it.
func MapCSV(w io.Writer, m *contract.Map, _ Options) error {
	c := csv.NewWriter(w)
	c.UseCRLF = true
	return c.WriteAll(m.Records())
}
