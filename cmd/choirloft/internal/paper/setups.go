package paper

import (
	"io"
	"strconv"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/draw"
)

// changes are the ways between the set-ups of a rack, a page each.
func (f *flow) changes(list []*contract.Repatch) {
	for _, r := range list {
		f.change(r)
	}
}

// change lists what to pull and plug between two set-ups, with a box to tick for
// each line.
func (f *flow) change(r *contract.Repatch) {
	f.page("Repatch: "+r.From+" to "+r.To, false)
	t := draw.Type{Size: body}
	bold := t
	bold.Bold = true
	f.paragraph(r.Summary+".", bold)
	for _, c := range r.Cautions() {
		f.paragraph(c, t)
	}
	for i, s := range r.Steps() {
		f.gap(2)
		f.need(12)
		f.paragraph(strconv.Itoa(i+1)+"  "+s.Do, bold)
		for _, line := range s.Lines {
			f.tick(line, t)
		}
	}
	f.gap(2)
	for _, line := range r.Effects() {
		f.paragraph(line, t)
	}
	f.gap(2)
	f.table(r.WayTable())
	if len(r.Findings) > 0 {
		f.findings(r.Findings)
	}
}

// tick writes a line with a box before it.
func (f *flow) tick(text string, t draw.Type) {
	const indent, box = 10.0, 3.0
	for i, line := range draw.Wrap(text, f.width()-indent, t) {
		f.need(t.Size * 1.5)
		f.y += t.Size * 1.2
		if i == 0 {
			f.on().Rect(f.left()+4, f.y-box+0.3, box, box, draw.Stroke(draw.Black, 0.25))
		}
		f.on().Text(f.left()+indent, f.y, line, t)
		f.y += t.Size * 0.3
	}
	f.y += t.Size * 0.3
}

// RepatchPDF writes the way from one set-up to another as a document.
func RepatchPDF(w io.Writer, r *contract.Repatch, o Options) error {
	f := newFlow(r.Rig, r.Fingerprint, o)
	f.change(r)
	return draw.PDF(w, draw.About{Title: r.Rig + ": " + r.From + " to " + r.To, Date: o.Date}, f.finish()...)
}

// change writes the same on a page for a screen.
func (d *document) change(r *contract.Repatch) {
	d.heading("h2", "Repatch: "+r.From+" to "+r.To)
	d.paragraphs(r.Summary + ".")
	d.paragraphs(r.Cautions()...)
	for i, s := range r.Steps() {
		d.heading("h3", strconv.Itoa(i+1)+"  "+s.Do)
		d.paragraphs(s.Lines...)
	}
	d.paragraphs(r.Effects()...)
	d.table(r.WayTable())
	if len(r.Findings) > 0 {
		d.findings(r.Findings)
	}
}
