package figures

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/draw"
	"choirloft/cmd/choirloft/internal/say"
	"choirloft/profiles/unit"
)

// Unison draws what the voices of a part do together that play one note: where they stand in
// cents and in the stereo field, and how loud they are together in the first seconds of a
// note. The width is in mm.
func Unison(u *contract.Unison, width float64) *draw.Picture {
	f := &stack{p: draw.New(width, 0), y: 6}
	f.p.Title = say.UnisonPicture(u)
	sentence(f.p, f.p.Title)
	half := math.Max(u.SpreadCents/2, 0.5)
	for _, c := range u.DetuneCents {
		half = max(half, math.Abs(c))
	}
	f.scale("cents", "flat", "sharp", u.DetuneCents, half, unit.Signed)
	f.scale("pan", "left", "right", u.Pans, 1, unit.Pan)
	if u.Course != nil {
		f.course(u)
	}
	f.p.Height = f.y
	return f.p
}

// stack is the picture of a unison, drawn down to y.
type stack struct {
	p *draw.Picture
	y float64
}

// besides is what stands at either side of a scale, in mm.
const besides = 22.0

// course draws the level of the stack over the first seconds of a note, from all in step down,
// and when it is in step again.
func (f *stack) course(u *contract.Unison) {
	const height, floor = 22.0, -24.0
	p := f.p
	k, c := &u.Keys[1], u.Course
	left, width, top := besides, p.Width-2*besides, f.y+7
	lasts := c.StepS * float64(len(c.LevelDB)-1)
	x := func(s float64) float64 { return left + s/lasts*width }
	y := func(db float64) float64 { return top + math.Max(db, floor)/floor*height }
	p.Text(0, f.y+3, fmt.Sprintf("What a held %s (%d) does: all in step at 0 dB", k.KeyName, k.Key), draw.Type{Size: body, Bold: true})
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
	if again := u.Again(); again > 0 && again <= lasts {
		p.Line(x(again), top-1.5, x(again), y(floor), draw.Style{Stroke: draw.Accent, Width: 0.35, Dash: 1.2})
		t.Ink, t.Align = draw.Accent, draw.Start
		p.Text(min(x(again)+1, left+width-draw.Width("in step again", t)), top-0.7, "in step again", t)
	}
	t.Ink, t.Align = draw.Dark, draw.Middle
	for s := 0.0; s <= lasts; s += 2 {
		p.Line(x(s), y(floor), x(s), y(floor)+1.2, draw.Stroke(draw.Black, 0.25))
		p.Text(x(s), y(floor)+4.5, unit.Fixed(s, 0)+" s", t)
	}
	t.Align = draw.Start
	p.Text(left, y(floor)+8.5, "The fundamentals alone: harmonic 2 beats twice as fast, and so on.", t)
	f.y = y(floor) + 11
}

// scale draws a line from −half to half with a mark for each position.
func (f *stack) scale(what, low, high string, values []float64, half float64, text func(float64) string) {
	p := f.p
	left, right := besides, p.Width-besides
	middle, y := (left+right)/2, f.y+9.5
	thin := draw.Stroke(draw.Black, 0.25)
	p.Line(left, y, right, y, thin)
	p.Line(middle, y-2.5, middle, y+2.5, thin)
	t := draw.Type{Size: small, Ink: draw.Dark}
	p.Text(0, y-2.5, what, draw.Type{Size: body, Bold: true})
	p.Text(0, y+2.5, low, t)
	t.Align = draw.End
	p.Text(p.Width, y+2.5, high, t)
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
