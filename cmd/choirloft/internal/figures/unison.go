package figures

import (
	"fmt"
	"maps"
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
	all := draw.New(width, 0)
	for _, p := range UnisonParts(u, width) {
		all.Place(0, all.Height, p)
		all.Height += p.Height
	}
	all.Title, all.About = say.UnisonPicture(u), say.UnisonFigures(u)
	return all
}

// UnisonParts are what [Unison] has one below the other.
func UnisonParts(u *contract.Unison, width float64) []*draw.Picture {
	f := &stack{p: draw.New(width, 0)}
	f.p.Title, f.p.About = say.UnisonPicture(u), say.UnisonFigures(u)
	f.sentence(f.p.Title)
	half := math.Max(u.SpreadCents/2, 0.5)
	for _, c := range u.DetuneCents {
		half = max(half, math.Abs(c))
	}
	f.scale("cents", "flat", "sharp", u.DetuneCents, half, unit.Signed)
	f.scale("pan", "left", "right", u.Pans, 1, unit.Pan)
	f.p.Height = f.y
	all := []*draw.Picture{f.p}
	if u.Course == nil {
		return all
	}
	for _, draws := range []func(*stack, *contract.Unison){(*stack).beats, (*stack).course} {
		g := &stack{p: draw.New(width, 0)}
		draws(g, u)
		g.p.Height = g.y
		all = append(all, g.p)
	}
	return all
}

// stack is the picture of a unison, drawn down to y.
type stack struct {
	p *draw.Picture
	y float64
}

// fine is the smallest type on paper, 7.5 points in mm.
const fine = 2.65

// besides is what stands at either side of a scale, in mm.
const besides = 14.0

// sentence says above the picture what it shows.
func (f *stack) sentence(text string) {
	t := draw.Type{Size: body, Bold: true}
	for _, line := range draw.Wrap(text, f.p.Width, t) {
		f.p.Text(0, f.y+t.Size, line, t)
		f.y += t.Size * 1.3
	}
}

// beats writes how fast voices beat that are next to each other in pitch, and the outermost, at
// three keys.
func (f *stack) beats(u *contract.Unison) {
	const column, row = 14.0, 3.2
	heads, rows := say.UnisonBeats(u, int((f.p.Width-2*besides)/column))
	if len(rows) == 0 {
		return
	}
	for i, cells := range append([][]string{heads}, rows...) {
		f.y += row
		first, others := draw.Type{Size: fine}, draw.Type{Size: fine, Align: draw.End}
		if i == 0 {
			first, others.Ink = draw.Type{Size: body, Bold: true}, draw.Dark
		}
		f.p.Text(0, f.y, cells[0], first)
		for k, cell := range cells[1:] {
			f.p.Text(besides+column*float64(k+1), f.y, cell, others)
		}
	}
	f.y += 0.6
}

// course draws the level of the stack over the first seconds of a note, from all in step down,
// and when it is in step again.
func (f *stack) course(u *contract.Unison) {
	const height, floor = 18.0, -24.0
	p := f.p
	k, c := &u.Keys[1], u.Course
	left, width, top := besides, p.Width-besides-4, f.y+7.5
	lasts := c.StepS * float64(len(c.LevelDB)-1)
	x := func(s float64) float64 { return left + s/lasts*width }
	y := func(db float64) float64 { return top + math.Max(db, floor)/floor*height }
	p.Text(0, f.y+3.4, fmt.Sprintf("What a held %s (%d) does: all in step at 0 dB", k.KeyName, k.Key), draw.Type{Size: body, Bold: true})
	t := draw.Type{Size: fine, Ink: draw.Dark, Align: draw.End}
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
	f.y = y(floor) + 5.5
	for _, line := range draw.Wrap("The fundamentals alone: harmonic 2 beats twice as fast, and so on.", p.Width, t) {
		f.y += t.Size * 1.25
		p.Text(0, f.y, line, t)
	}
	f.y++
}

// tick is a place on a scale, with the positions that have it.
type tick struct {
	x        float64
	value    float64
	position string
	step     int // how far its labels stand off the line, so that none lies over another
}

// scale draws a line from −half to half with a mark for each position.
func (f *stack) scale(what, low, high string, values []float64, half float64, text func(float64) string) {
	const line = 3.5
	p := f.p
	left, right := besides, f.p.Width-besides
	middle := (left + right) / 2
	number, below := draw.Type{Size: body, Bold: true, Align: draw.Middle}, draw.Type{Size: fine, Align: draw.Middle}
	ticks, steps := ticksOf(values, func(v float64) float64 { return middle + v/half*(right-left)/2 }, func(t *tick) float64 {
		return max(draw.Width(t.position, number), draw.Width(text(t.value), below)) + 1
	})
	y := f.y + 4.1 + line*float64(steps)
	thin := draw.Stroke(draw.Black, 0.25)
	p.Line(left, y, right, y, thin)
	p.Line(middle, y-2.5, middle, y+2.5, thin)
	t := draw.Type{Size: fine, Ink: draw.Dark}
	p.Text(0, y-1.2, what, draw.Type{Size: body, Bold: true})
	p.Text(0, y+2.5, low, t)
	t.Align = draw.End
	p.Text(f.p.Width, y+2.5, high, t)
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
