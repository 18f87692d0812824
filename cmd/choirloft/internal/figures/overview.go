package figures

import (
	"fmt"
	"strconv"
	"strings"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/draw"
	"choirloft/cmd/choirloft/internal/say"
)

// Measures of the picture of a long song, in mm.
const (
	belowTitle = 9.0  // to the second sentence
	courseTop  = 19.0 // to the strip
	courseHigh = 26.0
	sceneMarks = 11.0 // height of what says which bars are drawn large
	sceneRow   = 4.6
	thinnest   = 0.35 // of a column
)

// OverviewHeight is the height in mm of [Overview].
func OverviewHeight(s *contract.Scenes) float64 {
	return courseTop + courseHigh + axisHeight + sceneMarks + curve + axisHeight + sceneRow*float64(len(s.List)) + 6
}

// Overview draws the whole of a long song: how much is heard at each moment of what goes
// missing, which bars are drawn large, how many voices are needed, and a line for each scene.
// The width is in mm.
func Overview(l *contract.Lanes, r *contract.Result, s *contract.Scenes, width float64) *draw.Picture {
	p := draw.New(width, OverviewHeight(s))
	f := newLanes(l, r, l.All(), p)
	y := f.strip(s)
	f.demand(y)
	f.bottom = y + curve - 1
	f.bars(y+5, f.bottom)
	f.tooFew()
	f.axis()
	y = f.bottom + axisHeight + 4
	for i := range s.List {
		f.scene(&s.List[i], i, y)
		y += sceneRow
	}
	return p
}

// Strip is the head of [Overview] alone: the sentences, and how much is heard at each moment.
func Strip(l *contract.Lanes, r *contract.Result, s *contract.Scenes, width float64) *draw.Picture {
	p := draw.New(width, courseTop+courseHigh+axisHeight+sceneMarks)
	f := newLanes(l, r, l.All(), p)
	f.strip(s)
	return p
}

// strip draws it, and returns where it ends.
func (f *lanes) strip(s *contract.Scenes) float64 {
	f.p.Title = say.Picture(f.r, f.l, nil, len(f.r.Heard.Course.DB) > 0, 0, 0)
	sentence(f.p, f.p.Title)
	for i, text := range say.Where(f.r, s, f.l.HasBars) {
		f.line(2, belowTitle+1+rowOf*float64(i), text, draw.Type{Size: body})
	}
	a := f.area
	a.top, a.height, a.fromY, a.toY = courseTop, courseHigh, 0, 10
	for _, db := range []float64{1, 3, 10} {
		f.p.Line(a.left, a.y(db), a.left+a.width, a.y(db), draw.Stroke(draw.Light, 0.12))
	}
	for _, level := range []struct {
		db   float64
		text string
	}{{3, "plain 3 dB"}, {10, "10 dB+"}} {
		f.p.Text(a.left-1.5, a.y(level.db)+0.9, level.text, draw.Type{Size: small, Align: draw.End})
	}
	f.bars(a.top, a.top+a.height)
	f.course(&a)
	f.bottom = a.top + a.height
	f.axis()
	f.large(s, f.bottom+axisHeight)
	return f.bottom + axisHeight + sceneMarks
}

// course draws a column for each step, or for several where they are thin: what is plain
// in the accent.
func (f *lanes) course(a *area) {
	c := &f.r.Heard.Course
	each := 1
	for a.x(c.StepS*float64(each))-a.x(0) < thinnest {
		each++
	}
	for i := 0; i < len(c.DB); i += each {
		most := i
		for j := i; j < min(i+each, len(c.DB)); j++ {
			if c.DB[j] > c.DB[most] {
				most = j
			}
		}
		if c.DB[most] == 0 {
			continue
		}
		ink := draw.Grey
		if c.Plain(most) {
			ink = draw.Accent
		}
		x := a.x(c.StepS * float64(i))
		end := min(a.x(c.StepS*float64(i+each)), a.left+a.width)
		if top := a.y(c.DB[most]); end > x {
			a.p.Rect(x, top, end-x, a.y(0)-top, draw.Fill(ink))
		}
	}
}

// large marks which bars are drawn large, with a number, and which others a loss is plain in.
func (f *lanes) large(s *contract.Scenes, y float64) {
	t := draw.Type{Size: small, Align: draw.Middle, Bold: true}
	for i := range s.Left {
		f.p.Line(f.x(s.Left[i].From), y+0.6, f.x(s.Left[i].To), y+0.6, draw.Style{Stroke: draw.Dark, Width: 0.3, Dash: 0.8})
	}
	for i := range s.List {
		x0, x1 := f.x(s.List[i].From), f.x(s.List[i].To)
		f.p.Line(x0+0.2, y+0.6, max(x1-0.2, x0+0.4), y+0.6, draw.Stroke(draw.Black, 1))
		if len(s.List) > 1 {
			f.p.Text((x0+x1)/2, y+4.4, strconv.Itoa(i+1), t)
		}
	}
	f.p.Text(f.left, y+7.8, say.Large(s), draw.Type{Size: small, Ink: draw.Dark})
}

// scene says in a line what a scene shows.
func (f *lanes) scene(s *contract.Scene, number int, y float64) {
	shows := func(x *contract.Loss) bool { return x.AtS >= s.From && (x.AtS < s.To || s.To >= f.l.Seconds) }
	first, last := s.FirstBar, s.LastBar
	if !f.l.HasBars {
		first, last = 0, 0
	}
	f.p.Text(f.left-3, y, strconv.Itoa(number+1), draw.Type{Size: body, Bold: true, Align: draw.End})
	text := say.Picture(f.r, f.l, shows, true, first, last)
	if first == 0 {
		text = fmt.Sprintf("%s to %s: %s", clock(s.From, false), clock(s.To, false), text)
	}
	f.line(f.left, y, text, draw.Type{Size: body})
}

// line writes a line to the right edge, smaller where it is long.
func (f *lanes) line(x, y float64, text string, t draw.Type) {
	room := f.p.Width - x - 2
	t.Size = max(small, min(t.Size, t.Size*room/draw.Width(text, t)))
	f.p.Text(x, y, draw.Fit(text, room, t), t)
}

// sentence writes the answer above a picture: where it is long smaller, or on two lines.
func sentence(p *draw.Picture, text string) {
	t := draw.Type{Size: 3.9, Bold: true}
	t.Size = min(t.Size, t.Size*(p.Width-4)/draw.Width(text, t))
	if t.Size >= body {
		p.Text(2, 4.2, text, t)
		return
	}
	t.Size = small
	lines := draw.Wrap(text, p.Width-4, t)
	if len(lines) > 2 {
		lines = []string{lines[0], draw.Fit(strings.Join(lines[1:], " "), p.Width-4, t)}
	}
	for i, line := range lines {
		p.Text(2, 2.4+3.2*float64(i), line, t)
	}
}
