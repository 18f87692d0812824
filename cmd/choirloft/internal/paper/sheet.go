package paper

import (
	"io"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/draw"
)

// Sheet lays a map out on pages: by jack, to plug in by; by bank, to find faults
// by; the unisons; findings and cautions; the ways between set-ups; cable labels.
func Sheet(m *contract.Map, o Options) []*draw.Picture {
	f := newFlow(m.Rig, m.Fingerprint, o)
	f.jacks(m)
	f.banks(m)
	f.unisons(m)
	f.notes(m)
	f.changes(m.Changes())
	f.labels(m.CableLabels())
	return f.finish()
}

// PDF writes the sheet of a map as a document.
func PDF(w io.Writer, m *contract.Map, o Options) error {
	return draw.PDF(w, draw.About{Title: m.Rig + " [" + m.Fingerprint + "]", Date: o.Date}, Sheet(m, o)...)
}

// SVG writes the pages of the sheet one below the other.
func SVG(w io.Writer, m *contract.Map, o Options) error {
	return draw.SVG(w, stack(Sheet(m, o)))
}

// stack puts pages one below the other.
func stack(pages []*draw.Picture) *draw.Picture {
	width, height := 0.0, 0.0
	for _, p := range pages {
		width, height = max(width, p.Width), height+p.Height
	}
	all := draw.New(width, height)
	all.Title = pages[0].Title
	y := 0.0
	for _, p := range pages {
		all.Place(0, y, p)
		y += p.Height
	}
	return all
}
