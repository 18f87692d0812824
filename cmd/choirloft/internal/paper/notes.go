package paper

import (
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/cmd/choirloft/internal/draw"
)

// finding says one thing, with a mark of its own shape, and below it the figures that
// it rests on, where some of them are assumed.
func (f *flow) finding(x *doc.Finding) {
	const indent = 6
	t := draw.Type{Size: body}
	lines := draw.Wrap(findingText(x), f.width()-indent, t)
	f.need(t.Size * 1.5 * float64(len(lines)+1))
	severity(f.on(), x.Severity, f.left()+1.6, f.y+2.6)
	bold := draw.Type{Size: body, Bold: true}
	f.on().Text(f.left()+indent, f.y+3.6, draw.Fit(x.Severity+": "+x.Code, f.width()-indent, bold), bold)
	f.y += 5
	write := func(lines []string, t draw.Type) {
		for _, line := range lines {
			f.need(t.Size * 1.4)
			f.on().Text(f.left()+indent, f.y+t.Size, line, t)
			f.y += t.Size * 1.4
		}
	}
	write(lines, t)
	if x.Assumed && len(x.Facts) > 0 {
		small := t
		small.Size *= 0.85
		write(draw.Wrap(x.Figures(), f.width()-indent, small), small)
	}
	if x.Hint != "" {
		t.Ink = draw.Dark
		write(draw.Wrap(x.Hint, f.width()-indent, t), t)
	}
	f.y += 2
}

// severity draws an error as a filled square, a warning as a triangle, and what
// is only worth knowing as a ring.
func severity(p *draw.Picture, severity string, x, y float64) {
	const r = 1.5
	switch severity {
	case "error":
		p.Rect(x-r, y-r, 2*r, 2*r, draw.Fill(draw.Accent))
	case "warning":
		p.Path([]draw.Point{{X: x, Y: y - r}, {X: x + r, Y: y + r}, {X: x - r, Y: y + r}}, draw.Fill(draw.Accent))
	default:
		p.Circle(x, y, r*0.8, draw.Stroke(draw.Black, 0.4))
	}
}

// findingText is the place and the words of a finding.
func findingText(x *doc.Finding) string {
	text := x.Where + ": " + x.Text
	if x.Where == "" {
		text = x.Text
	}
	if x.Assumed {
		text += " (assumed)"
	}
	return text
}
