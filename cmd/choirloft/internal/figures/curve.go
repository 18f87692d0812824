package figures

import (
	"slices"
	"strconv"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/draw"
	"choirloft/cmd/choirloft/internal/say"
)

// Curve draws what each number of voices costs: for how many seconds a loss is heard by
// the rules of the rig, dark where plainly; where nobody listened the notes that are cut
// or dropped, dark what no rule can do better. The numbers among which it is decided
// stand large, with figures below them, those of all voices small beside them. The size
// is in mm.
func Curve(s *contract.SizeResult, width, height float64) *draw.Picture {
	p := draw.New(width, height)
	answer, below := say.SizePicture(s)
	p.Title = answer
	if title := (draw.Type{Size: 5, Bold: true}); draw.Width(answer, title) <= width-4 {
		p.Text(2, 5, answer, title)
	} else {
		sentence(p, answer)
	}
	y := 11.0
	t := draw.Type{Size: body, Ink: draw.Dark}
	for _, sentence := range below {
		for _, line := range draw.Wrap(sentence, width-4, t) {
			p.Text(2, y, line, t)
			y += 4.4
		}
	}
	if len(s.Curve) > 0 {
		c := &curves{s: s, p: p, measure: measureOf(s), marks: say.SizeMarks(s)}
		c.draw(y, width, height)
	}
	return p
}

// measure is what a picture of sizes has on its axis.
type measure struct {
	points            []*contract.SizePoint
	label, dark, grey string
	unheard           int // the points of which it is not known what is heard
	// of is false where it is not known; dark is part of grey.
	of  func(*contract.SizePoint) (dark, grey float64, ok bool)
	now float64 // the grey of the rig as it is
}

// measureOf takes what is heard where it is known of at least half of the points.
func measureOf(s *contract.SizeResult) measure {
	m := measure{label: "Seconds with a loss that you hear", dark: "plainly", grey: "faintly"}
	for i := range s.Curve {
		if m.points = append(m.points, &s.Curve[i]); s.Curve[i].Heard == nil {
			m.unheard++
		}
	}
	if 2*m.unheard <= len(m.points) {
		m.of = func(p *contract.SizePoint) (float64, float64, bool) {
			if p.Heard == nil {
				return 0, 0, false
			}
			return p.Heard.PlainS, p.Heard.FaintS, true
		}
		if s.NowHeard != nil {
			m.now = s.NowHeard.FaintS
		}
		return m
	}
	m.label, m.dark, m.grey, m.now = "Notes cut or dropped", "by any rule", "by the rig's", float64(s.Now.Damaged)
	m.of = func(p *contract.SizePoint) (float64, float64, bool) {
		return float64(p.FewestDamaged), float64(p.Own.Damaged), true
	}
	return m
}

type curves struct {
	measure
	s     *contract.SizeResult
	p     *draw.Picture
	marks []say.SizeMark
	small bool // all points stand small beside those that stand large
}

// Widths of the picture of sizes, in mm.
const (
	column   = 8.0  // at least, of a number of voices
	headings = 28.0 // of the rows of figures
	rowOf    = 4.4  // height of a row
	markRow  = 4.6  // height of a row of names over the chart
	nowDot   = 1.1  // radius of the dot of the rig as it is
)

// draw draws the charts from y on.
func (c *curves) draw(y, width, height float64) {
	wide := min(16, int((width-headings-4)/column))
	from, to := c.decided(wide)
	left := headings
	heads, cells := say.SizeRows(c.points[from:to], c.unheard < len(c.points))
	bottom := height - rowOf*float64(len(heads)+3) - 3
	if c.small = to-from < len(c.points) && width >= 200; c.small {
		left = 0.3*width + headings
		c.overview(area{p: c.p, left: 14, top: y + 2*markRow, width: 0.3*width - 14, height: bottom - y - 2*markRow}, from, to)
	}
	a := area{p: c.p, left: left, width: width - left - 4, fromX: 0, toX: float64(to - from), toY: c.most(c.points[from:to])}
	levels := c.nameLevels(&a, from, to)
	a.top = y + markRow*float64(levels+1)
	a.height = bottom - a.top
	c.legend(left, y)
	c.chart(&a, from, to)
	c.figures(&a, heads, cells, from)
	c.beyond(left, height-1.5, from, to)
}

// decided is the range of points that stand large: the answer with four fewer before it,
// the voices in service, and as many others that are named as there is room for.
func (c *curves) decided(wide int) (from, to int) {
	last := len(c.points)
	if last <= wide {
		return 0, last
	}
	answer, have, end := 0, 0, 0
	for _, m := range c.marks {
		at, _ := c.index(m.Voices)
		at = min(at, last-1)
		end = max(end, at)
		if m.Answer {
			answer = at
		}
		if m.Have {
			have = at
		}
	}
	if answer == 0 {
		answer = have
	}
	from = min(answer-4, end+2-wide)
	if have < from && answer-have < wide-1 {
		from = have - 1
	}
	from = max(0, min(from, last-wide))
	return from, from + wide
}

// most is the top of an axis for some points.
func (c *curves) most(points []*contract.SizePoint) float64 {
	most := 1.0
	for _, p := range points {
		_, grey, _ := c.of(p)
		most = max(most, grey)
		if p.Voices == c.s.Voices {
			most = max(most, c.now)
		}
	}
	return ceiling(most)
}

// steps draws a column for each point from one place of the axis to another.
func (c *curves) steps(a *area, points []*contract.SizePoint, span func(i int) (from, to float64)) {
	for i, p := range points {
		l, r := span(i)
		dark, grey, ok := c.of(p)
		if !ok {
			c.p.Hatch(l, a.top, r-l, a.height, 2, draw.Stroke(draw.Grey, 0.15))
		}
		for _, part := range []struct {
			value float64
			style draw.Style
		}{{grey, draw.Style{Fill: draw.Grey, Stroke: draw.Paper, Width: 0.15}}, {dark, draw.Style{Fill: draw.Deep, Stroke: draw.Paper, Width: 0.15}}} {
			if part.value > 0 {
				c.p.Rect(l, a.y(part.value), r-l, a.y(0)-a.y(part.value), part.style)
			}
		}
	}
	c.p.Line(a.left, a.y(0), a.left+a.width, a.y(0), draw.Stroke(draw.Black, 0.3))
}

// overview draws all points small, those that stand large on a ground of their own.
func (c *curves) overview(a area, from, to int) {
	first, last := c.points[0].Voices, c.points[len(c.points)-1].Voices
	a.fromX, a.toX, a.toY = float64(first)-0.5, float64(last)+0.5, c.most(c.points)
	c.p.Text(a.left, a.top-2, "All numbers of voices", draw.Type{Size: body, Bold: true})
	l, r := a.x(float64(c.points[from].Voices)-0.5), a.x(float64(c.points[to-1].Voices)+0.5)
	c.p.Rect(l, a.top, r-l, a.height, draw.Fill(draw.Faint))
	a.levels("")
	c.steps(&a, c.points, func(i int) (float64, float64) {
		next := last + 1
		if i+1 < len(c.points) {
			next = c.points[i+1].Voices
		}
		return a.x(float64(c.points[i].Voices) - 0.5), a.x(float64(next) - 0.5)
	})
	for i := range c.marks {
		if m := &c.marks[i]; m.Have && float64(m.Voices) < a.toX {
			c.have(&a, m, l, r)
		}
	}
	step := int(nice(float64(last)/(a.width/8), 1))
	for n := step; n <= last; n += step {
		c.p.Text(a.x(float64(n)), a.top+a.height+rowOf, strconv.Itoa(n), draw.Type{Size: small, Align: draw.Middle})
	}
	c.p.Text(a.left+a.width/2, a.top+a.height+2*rowOf, "voices, shaded: shown large", draw.Type{Size: small, Ink: draw.Dark, Align: draw.Middle})
}

// have marks the voices in service where all points stand small, by name unless they stand large too, between two places.
func (c *curves) have(a *area, m *say.SizeMark, l, r float64) {
	x, t := a.x(float64(m.Voices)), draw.Type{Size: body}
	if x < l || r < x {
		width := draw.Width(markName(m), t)
		name := min(x+1.4, a.left+a.width-width)
		c.p.Line(x, a.top+5, x, a.y(0), draw.Style{Stroke: draw.Black, Width: 0.25, Dash: 1.2})
		c.p.Rect(name-0.4, a.top+0.5, width+0.8, 3.9, draw.Fill(draw.Paper))
		c.p.Text(name, a.top+3.6, markName(m), t)
	}
	c.dot(a, x)
}

// dot is what the rig as it is loses.
func (c *curves) dot(a *area, x float64) {
	c.p.Circle(x, a.y(c.now), nowDot, draw.Style{Fill: draw.Accent, Stroke: draw.Paper, Width: 0.3})
}

// legend names the measure and its two fills.
func (c *curves) legend(x, y float64) {
	t := draw.Type{Size: body, Bold: true}
	c.p.Text(x, y+2, c.label, t)
	x += draw.Width(c.label, t) + 5
	for _, part := range []struct {
		name string
		ink  draw.Ink
	}{{c.dark, draw.Deep}, {c.grey, draw.Grey}} {
		c.p.Rect(x, y-0.6, 5, 3, draw.Fill(part.ink))
		c.p.Text(x+6.5, y+2, part.name, draw.Type{Size: body})
		x += 6.5 + draw.Width(part.name, draw.Type{Size: body}) + 5
	}
}

// chart draws the points that stand large.
func (c *curves) chart(a *area, from, to int) {
	c.shown(from, to, func(m *say.SizeMark, at float64) {
		if m.Have {
			c.p.Rect(a.x(at-0.5), a.top, a.x(1)-a.x(0), a.height, draw.Fill(draw.Faint))
		}
	})
	a.levels("")
	c.steps(a, c.points[from:to], func(i int) (float64, float64) { return a.x(float64(i)), a.x(float64(i + 1)) })
	c.named(a, from, to, func(m *say.SizeMark, row int, at, _ float64) {
		line := draw.Style{Stroke: draw.Black, Width: 0.25, Dash: 1.2}
		if m.Answer {
			line = draw.Stroke(draw.Black, 0.6)
		}
		middle := a.x(at)
		c.p.Line(middle, nameLine(a, row)+0.8, middle, a.y(0), line)
		if m.Have {
			c.dot(a, middle)
		}
	})
	c.named(a, from, to, func(m *say.SizeMark, row int, _, x float64) { // over the lines of the others
		y := nameLine(a, row)
		c.p.Rect(x-0.6, y-3.1, draw.Width(markName(m), markType(m))+1.2, 3.9, draw.Fill(draw.Paper))
		c.p.Text(x, y, markName(m), markType(m))
	})
}

// figures writes the numbers of voices, and below them what each of them loses.
func (c *curves) figures(a *area, heads []string, cells [][]string, from int) {
	y := a.top + a.height + rowOf
	c.p.Text(a.left-3, y, "voices", draw.Type{Size: body, Align: draw.End})
	c.p.Line(a.left-headings+4, y+1.6, a.left+a.width, y+1.6, draw.Stroke(draw.Black, 0.2))
	for row, head := range heads {
		c.p.Text(a.left-3, y+rowOf*float64(row+1)+1, head, draw.Type{Size: small, Align: draw.End})
	}
	for i := range cells {
		x, n := a.x(float64(i)+0.5), c.points[from+i].Voices
		marked := slices.ContainsFunc(c.marks, func(m say.SizeMark) bool { return m.Voices == n })
		c.p.Text(x, y, strconv.Itoa(n), draw.Type{Size: body, Bold: marked, Align: draw.Middle})
		for row := range heads {
			c.p.Text(x, y+rowOf*float64(row+1)+1, cells[i][row], draw.Type{Size: small, Align: draw.Middle})
		}
	}
}
