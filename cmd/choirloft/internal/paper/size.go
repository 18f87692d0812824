package paper

import (
	"io"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/draw"
	"choirloft/cmd/choirloft/internal/figures"
)

// SizeSVG writes the sizing curves as a picture.
func SizeSVG(w io.Writer, s *contract.Size) error { return draw.SVG(w, sizePicture(s)) }

// SizePNG writes the sizing curves as a picture.
func SizePNG(w io.Writer, s *contract.Size) error { return draw.PNG(w, sizePicture(s), dots) }

func sizePicture(s *contract.Size) *draw.Picture {
	return figures.Curve(&s.SizeResult, pictureWidth, pictureHeight)
}

// SizePages writes the sizing curves as a document.
func SizePages(w io.Writer, s *contract.Size, o Options) error {
	f := newFlow(s.Rig, s.Fingerprint, o)
	sizeCurves(f, s)
	return draw.PDF(w, draw.About{Title: s.Song.Label(), Date: o.Date}, f.finish()...)
}

func sizeCurves(f *flow, s *contract.Size) {
	f.page("How many voices: "+s.Song.Label(), true)
	f.picture(func(width, height float64) *draw.Picture { return figures.Curve(&s.SizeResult, width, height) })
}

// SizeReport writes a size as a document: what to make of it, the curves, tables.
func SizeReport(w io.Writer, s *contract.Size, o Options) error {
	f := newFlow(s.Rig, s.Fingerprint, o)
	f.page("How many voices: "+s.Song.Label(), false)
	t := draw.Type{Size: body}
	bold := t
	bold.Bold = true
	f.paragraph(s.Summary, bold)
	for _, line := range append(s.Advice, s.ShortLine(12)) {
		f.paragraph(line, t)
	}
	f.titled("What would help, the cheapest that saves most first", old(s.FixTable(mostFixes)))
	f.paragraph(s.WorseLine(6), t)
	f.paragraph(s.TriedLine(), t)
	f.findings(oldFindings(s.Findings))
	sizeCurves(f, s)
	f.page("Tables: "+s.Song.Label(), false)
	f.titled("What each number of voices costs", old(s.CurveTable()))
	f.gap(2)
	f.paragraph(s.RuleLegend(), t)
	return draw.PDF(w, draw.About{Title: s.Song.Label() + " on " + s.Rig, Date: o.Date}, f.finish()...)
}

// SizeHTML writes a size as one page that needs nothing else.
func SizeHTML(w io.Writer, s *contract.Size, o Options) error {
	d := &document{}
	d.open(s.Song.Label()+" on "+s.Rig, s.Fingerprint, o)
	d.paragraphs(append([]string{s.Summary}, append(s.Advice, s.ShortLine(12))...)...)
	d.titled("What would help, the cheapest that saves most first", old(s.FixTable(mostFixes)))
	d.paragraphs(s.WorseLine(6), s.TriedLine())
	d.findings(oldFindings(s.Findings))
	d.heading("h2", "What each number of voices costs")
	d.picture(sizePicture(s))
	d.table(old(s.CurveTable()))
	d.paragraphs(s.RuleLegend())
	return d.close(w)
}
