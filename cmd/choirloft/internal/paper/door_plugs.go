package paper

import (
	"math"
	"strings"

	"choirloft/cmd/choirloft/internal/draw"
)

// outOfService is the jack of a voice that is out.
var outOfService = draw.Style{Fill: draw.Paper, Stroke: draw.Black, Width: 0.35, Dash: 0.9}

// doorPlug draws the jack of a voice: a square for a gate, a pill for a pitch; white and dashed
// where the voice is out.
func (f *flow) doorPlug(number string, gate, out bool, x, y, w, h, points float64) {
	if number == "" {
		return
	}
	p, t := f.on(), draw.Type{Size: points * point, Bold: true, Align: draw.Middle, Ink: draw.Paper}
	style := draw.Fill(draw.Black)
	if out {
		style, t.Ink = outOfService, draw.Black
	}
	if gate {
		p.Rect(x, y, w, h, style)
	} else {
		pill(p, x, y, w, h, h/2, style)
	}
	if box, jack, ok := strings.Cut(number, ":"); ok {
		f.boxedPlug(box, jack, x+w/2, y, w, h, t)
		return
	}
	t.Size = min(t.Size, fitting(number, w-1, points))
	p.Text(x+w/2, y+h/2+t.Size*0.365, number, t)
}

// boxedPlug writes the name of a cable of a further interface on the jack of a voice: the
// interface above, the jack below as large as there is room for.
func (f *flow) boxedPlug(box, jack string, x, y, w, h float64, t draw.Type) {
	const between = 0.5
	above := t
	above.Size = 7.5 * point
	t.Size = min(t.Size, fitting(jack, w-1.6, doorLabel), (h-0.9-between)/0.73-above.Size)
	top := y + (h-0.73*(above.Size+t.Size)-between)/2
	f.on().Text(x, top+0.73*above.Size, f.keys.fit(box, w-1.6, above), above)
	f.on().Text(x, top+0.73*(above.Size+t.Size)+between, jack, t)
}

// pill is a rectangle with round ends, which go so far in.
func pill(p *draw.Picture, x, y, w, h, end float64, s draw.Style) {
	r := h / 2
	var points []draw.Point
	for i := range 25 {
		cx := x + w - end
		if i > 12 {
			cx = x + end
		}
		sin, cos := math.Sincos(math.Pi * float64(i-i/13) / 12)
		points = append(points, draw.Point{X: cx + end*sin, Y: y + r - r*cos})
	}
	p.Path(append(points, points[0]), s)
}
