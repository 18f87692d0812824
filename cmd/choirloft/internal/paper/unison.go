package paper

import (
	"math"
	"slices"
	"strings"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/draw"
	"choirloft/profiles/unit"
)

// scales draws the detunes and the pans of a unison.
func (f *flow) scales(u *contract.Unison) {
	f.need(36)
	half := math.Max(u.SpreadCents/2, 0.5)
	for _, c := range u.DetuneCents {
		half = max(half, math.Abs(c))
	}
	f.scale("cents", "flat", "sharp", u.DetuneCents, half, unit.Signed)
	f.scale("pan", "left", "right", u.Pans, 1, unit.Pan)
}

// scale draws a line from −half to half with a mark for each position.
func (f *flow) scale(what, low, high string, values []float64, half float64, text func(float64) string) {
	const side = 22.0
	p := f.on()
	left, right := f.left()+side, f.left()+f.width()-side
	middle, y := (left+right)/2, f.y+9.5
	thin := draw.Stroke(draw.Black, 0.25)
	p.Line(left, y, right, y, thin)
	p.Line(middle, y-2.5, middle, y+2.5, thin)
	t := draw.Type{Size: small, Ink: draw.Dark}
	p.Text(f.left(), y-2.5, what, draw.Type{Size: body, Bold: true})
	p.Text(f.left(), y+2.5, low, t)
	t.Align = draw.End
	p.Text(f.left()+f.width(), y+2.5, high, t)
	stagger := newStagger(len(values))
	var done []float64
	for _, v := range values {
		if slices.Contains(done, v) { // stands there already
			continue
		}
		done = append(done, v)
		var positions []int
		for i, other := range values {
			if other == v {
				positions = append(positions, i+1)
			}
		}
		x := middle + v/half*(right-left)/2
		step := stagger.at(x, 11)
		number := draw.Type{Size: body, Bold: true, Align: draw.Middle}
		p.Line(x, y-2, x, y+2, draw.Stroke(draw.Black, 0.7))
		p.Text(x, y-3-3.2*float64(step), strings.Join(unit.Runs(positions), ", "), number)
		p.Text(x, y+5+3.2*float64(step), text(v), draw.Type{Size: small, Align: draw.Middle})
	}
	f.y = y + 4 + 3.2*float64(max(1, len(stagger.last)))
}

// stagger puts labels that would touch into different lines, three at most.
type stagger struct{ last []float64 }

func newStagger(n int) *stagger { return &stagger{make([]float64, 0, n)} }

func (s *stagger) at(x, width float64) int {
	for line := range 3 {
		if line == len(s.last) {
			s.last = append(s.last, x)
			return line
		}
		if math.Abs(x-s.last[line]) >= width {
			s.last[line] = x
			return line
		}
	}
	return 2
}
