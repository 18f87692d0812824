package paper

import (
	"fmt"
	"maps"
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

// tick is a place on a scale, with the positions that have it.
type tick struct {
	x        float64
	value    float64
	position string
	step     int // how far its labels stand off the line, so that none lies over another
}

// scale draws a line from −half to half with a mark for each position.
func (f *flow) scale(what, low, high string, values []float64, half float64, text func(float64) string) {
	const side, line = 14.0, 3.4
	p := f.on()
	left, right := f.left()+side, f.left()+f.width()-side
	middle := (left + right) / 2
	number, below := draw.Type{Size: body, Bold: true, Align: draw.Middle}, draw.Type{Size: small, Align: draw.Middle}
	ticks, steps := ticksOf(values, func(v float64) float64 { return middle + v/half*(right-left)/2 }, func(t *tick) float64 {
		return max(draw.Width(t.position, number), draw.Width(text(t.value), below)) + 1
	})
	y := f.y + 4.1 + line*float64(steps)
	thin := draw.Stroke(draw.Black, 0.25)
	p.Line(left, y, right, y, thin)
	p.Line(middle, y-2.5, middle, y+2.5, thin)
	t := draw.Type{Size: small, Ink: draw.Dark}
	p.Text(f.left(), y-1.2, what, draw.Type{Size: body, Bold: true})
	p.Text(f.left(), y+2.5, low, t)
	t.Align = draw.End
	p.Text(f.left()+f.width(), y+2.5, high, t)
	for _, k := range ticks {
		p.Line(k.x, y-2, k.x, y+2, draw.Stroke(draw.Black, 0.7))
		p.Text(k.x, y-2.8-line*float64(k.step), k.position, number)
		p.Text(k.x, y+4.6+line*float64(k.step), text(k.value), below)
	}
	f.y = y + 2.2 + line*float64(steps)
}

// ticksOf are the different values from the lowest on, put into as few lines as keep their
// labels apart.
func ticksOf(values []float64, at func(float64) float64, width func(*tick) float64) (ticks []tick, steps int) {
	positions := map[float64][]int{}
	for i, v := range values {
		positions[v] = append(positions[v], i+1)
	}
	var ends []float64 // of the last label of each line
	for _, v := range slices.Sorted(maps.Keys(positions)) {
		t := tick{x: at(v), value: v, position: strings.Join(unit.Runs(positions[v]), ", ")}
		half := width(&t) / 2
		for t.step < len(ends) && ends[t.step] > t.x-half {
			t.step++
		}
		if t.step == len(ends) {
			ends = append(ends, 0)
		}
		ends[t.step] = t.x + half
		ticks = append(ticks, t)
	}
	return ticks, max(1, len(ends))
}
