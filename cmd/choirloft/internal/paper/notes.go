package paper

import (
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/cmd/choirloft/internal/draw"
)

// finding says one thing, with a mark of its own shape, and below it the figures that
// it rests on, where some of them are assumed.
func (f *flow) finding(x *doc.Finding) piece {
	const indent = 5
	type line struct {
		text string
		kind draw.Type
	}
	var all []line
	add := func(text string, t draw.Type) {
		for _, part := range draw.Wrap(text, f.measure()-indent, t) {
			all = append(all, line{part, t})
		}
	}
	t := draw.Type{Size: body}
	add(x.Severity+": "+x.Code, draw.Type{Size: body, Bold: true})
	add(findingText(x), t)
	if x.Assumed && len(x.Facts) > 0 {
		add(x.Figures(), draw.Type{Size: remark})
	}
	if x.Hint != "" {
		t.Ink = draw.Dark
		add(x.Hint, t)
	}
	return piece{height: body * leading * float64(len(all)), gap: 2.2, draws: func(p *draw.Picture, x0, y float64) {
		severity(p, x.Severity, x0+1.6, y+2)
		for i, l := range all {
			p.Text(x0+indent, y+body*(1+leading*float64(i)), l.text, l.kind)
		}
	}}
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
