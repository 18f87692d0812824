package figures

import (
	"math"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/draw"
	"choirloft/cmd/choirloft/internal/say"
)

// Pitch draws how far off a voice may be over the keys that it plays: what is known, what
// is likely, and the worst. The size is in mm.
func Pitch(r *contract.Pitch, width, height float64) *draw.Picture {
	p := draw.New(width, height)
	p.Title = say.PitchPicture(r)
	sentence(p, p.Title)
	if len(r.Curve) == 0 || len(r.Budget.Unknown) > 0 {
		return p
	}
	most := 1.0
	for _, s := range r.Curve {
		most = math.Max(most, *s.WorstCents)
	}
	a := area{p: p, left: nameWidth, top: 11, width: width - nameWidth - 4, height: height - 35, fromX: float64(r.LowKey), toX: math.Max(float64(r.HighKey), float64(r.LowKey+1)), toY: ceiling(most)}
	a.levels("cents, either way")
	for key := r.LowKey; key <= r.HighKey; key++ {
		if key%12 != 0 && key != r.LowKey && key != r.HighKey {
			continue
		}
		x := a.x(float64(key))
		p.Line(x, a.top+a.height, x, a.top+a.height+1.2, draw.Stroke(draw.Black, 0.25))
		if key%12 == 0 || r.HighKey-r.LowKey < 12 {
			p.Text(x, a.top+a.height+4, contract.KeyName(key, r.MiddleC), draw.Type{Size: small, Align: draw.Middle})
		}
	}
	p.Line(a.left, a.y(0), a.left+a.width, a.y(0), draw.Stroke(draw.Black, 0.3))
	lines := []struct {
		name string
		of   func(*contract.Strays) float64
	}{
		{"likely: 95 % of errors stay within", func(s *contract.Strays) float64 { return *s.LikelyCents }},
		{"worst: 99.9 % of errors stay within", func(s *contract.Strays) float64 { return *s.WorstCents }},
		{"known, whichever way", func(s *contract.Strays) float64 { return math.Abs(s.ShiftCents) }},
	}
	y := a.top + a.height + 9
	for i, l := range lines {
		for k := 1; k < len(r.Curve); k++ {
			from, to := &r.Curve[k-1], &r.Curve[k]
			p.Line(a.x(float64(from.Key)), a.y(l.of(from)), a.x(float64(to.Key)), a.y(l.of(to)), strokeOf(i))
		}
		p.Line(a.left, y, a.left+10, y, strokeOf(i))
		p.Text(a.left+13, y+1, l.name, draw.Type{Size: body})
		y += 5
	}
	return p
}

// strokes tell lines apart.
var strokes = []draw.Style{
	{Stroke: draw.Accent, Width: 0.8}, {Stroke: draw.Black, Width: 0.4, Dash: 2.2}, {Stroke: draw.Dark, Width: 0.35},
	{Stroke: draw.Black, Width: 0.3, Dash: 0.8},
}

func strokeOf(line int) draw.Style { return strokes[line%len(strokes)] }
