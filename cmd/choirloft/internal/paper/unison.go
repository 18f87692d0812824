package paper

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/draw"
	"choirloft/profiles/unit"
)

// unison draws the detunes and the pans of a unison, and how its level goes.
func (f *flow) unison(u *contract.Unison) {
	f.inset(func(f *flow) { f.scales(u) })
	if u.Course != nil {
		f.inset(func(f *flow) { f.course(u) })
	}
}

func (f *flow) scales(u *contract.Unison) {
	half := math.Max(u.SpreadCents/2, 0.5)
	for _, c := range u.DetuneCents {
		half = max(half, math.Abs(c))
	}
	f.scale("cents", "flat", "sharp", u.DetuneCents, half, unit.Signed)
	f.scale("pan", "left", "right", u.Pans, 1, unit.Pan)
}

// course draws the level of the stack over the first seconds of a note, from all in step down.
func (f *flow) course(u *contract.Unison) {
	const side, height, floor = 14.0, 18.0, -24.0
	p := f.on()
	k, c := &u.Keys[1], u.Course
	left, width, top := f.left()+side, f.width()-side-4, f.y+6.5
	lasts := c.StepS * float64(len(c.LevelDB)-1)
	x := func(s float64) float64 { return left + s/lasts*width }
	y := func(db float64) float64 { return top + math.Max(db, floor)/floor*height }
	p.Text(f.left(), f.y+3, fmt.Sprintf("What a held %s (%d) does: all in step at 0 dB", k.KeyName, k.Key), draw.Type{Size: body, Bold: true})
	t := draw.Type{Size: small, Ink: draw.Dark, Align: draw.End}
	for _, db := range []float64{0, -6, -12, -18, -24} {
		p.Line(left, y(db), left+width, y(db), draw.Stroke(draw.Light, 0.12))
		p.Text(left-1.5, y(db)+0.9, unit.Fixed(db, 0)+" dB", t)
	}
	points := []draw.Point{{X: left, Y: y(floor)}}
	for i, db := range c.LevelDB {
		points = append(points, draw.Point{X: x(float64(i) * c.StepS), Y: y(db)})
	}
	p.Path(append(points, draw.Point{X: left + width, Y: y(floor)}), draw.Style{Fill: draw.Light, Stroke: draw.Black, Width: 0.25})
	t.Align = draw.Middle
	for s := 0.0; s <= lasts; s += 2 {
		p.Line(x(s), y(floor), x(s), y(floor)+1.2, draw.Stroke(draw.Black, 0.25))
		p.Text(x(s), y(floor)+4.5, unit.Fixed(s, 0)+" s", t)
	}
	f.y = y(floor) + 7
}

// scale draws a line from −half to half with a mark for each position.
func (f *flow) scale(what, low, high string, values []float64, half float64, text func(float64) string) {
	const side = 14.0
	p := f.on()
	left, right := f.left()+side, f.left()+f.width()-side
	middle, y := (left+right)/2, f.y+7.5
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
