package figures

import (
	"math"
	"strconv"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/draw"
	"choirloft/cmd/choirloft/internal/say"
)

// Curve draws what each number of voices costs: for how long a loss is heard by the
// rules of the rig, and behind that by each rule that is shown the damaged notes above
// what no rule can do better, and the tails that are cut. Where nobody listened the
// lost time stands in the middle. The size is in mm.
func Curve(s *contract.SizeResult, width, height float64) *draw.Picture {
	p := draw.New(width, height)
	p.Title = "How many voices " + say.SongLabel(&s.Song) + " needs"
	if len(s.Curve) == 0 {
		return p
	}
	c := &curves{s: s, p: p, left: nameWidth, width: width - nameWidth - 4}
	names := say.RuleNames(s)
	room := height - 7 - 12 - 5*float64(len(names)+2) - 2*7
	cut := func(y, height float64) float64 {
		return c.chart(y, height, "cut or dropped", func(v *contract.SizePoint) float64 { return float64(v.FewestDamaged) },
			func(v *contract.Cost) float64 { return float64(v.Damaged) })
	}
	y := 7.0
	if heard := c.heard(); len(heard) > 0 {
		y = c.ear(y, room*0.4, heard)
		y = cut(y+7, room*0.3)
	} else {
		y = cut(y, room*0.4)
		y = c.chart(y+7, room*0.3, "seconds lost", func(v *contract.SizePoint) float64 { return v.UnavoidableS },
			func(v *contract.Cost) float64 { return v.LostGateS })
	}
	y = c.chart(y+7, room*0.3, "tails cut", nil, func(v *contract.Cost) float64 { return float64(v.TailCuts) })
	c.voices(y)
	c.legend(y+12, names)
	return p
}

type curves struct {
	s           *contract.SizeResult
	p           *draw.Picture
	left, width float64
}

// strokes tell rules apart: the rig's own is the heaviest.
var strokes = []draw.Style{
	{Stroke: draw.Accent, Width: 0.8}, {Stroke: draw.Black, Width: 0.4, Dash: 2.2}, {Stroke: draw.Dark, Width: 0.35},
	{Stroke: draw.Black, Width: 0.3, Dash: 0.8},
}

func strokeOf(rule int) draw.Style { return strokes[rule%len(strokes)] }

func (c *curves) area(top, height, most float64) area {
	last := c.s.Curve[len(c.s.Curve)-1].Voices
	return area{p: c.p, left: c.left, top: top, width: c.width, height: height,
		fromX: 1, toX: math.Max(2, float64(last)), toY: ceiling(most)}
}

// chart draws one measure against the number of voices and returns its bottom.
func (c *curves) chart(top, height float64, unit string, floor func(*contract.SizePoint) float64, of func(*contract.Cost) float64) float64 {
	most := math.Max(1, of(&c.s.Now))
	for i := range c.s.Curve {
		for _, cost := range c.s.Shown(&c.s.Curve[i]) {
			most = math.Max(most, of(cost))
		}
	}
	a := c.area(top, height, most)
	a.levels(unit)
	c.marks(&a, top == 7)
	if floor != nil {
		points := []draw.Point{{X: a.left, Y: a.y(0)}}
		for i := range c.s.Curve {
			points = append(points, draw.Point{X: a.x(float64(c.s.Curve[i].Voices)), Y: a.y(floor(&c.s.Curve[i]))})
		}
		c.p.Path(append(points, draw.Point{X: a.x(a.toX), Y: a.y(0)}), draw.Fill(draw.Light))
	}
	var lines [][]draw.Point
	for rule := range 1 + len(c.s.ShownRules) {
		lines = append(lines, c.points(&a, rule, of))
	}
	for rule := len(lines) - 1; rule >= 0; rule-- { // the rig's own on top
		for i := 1; i < len(lines[rule]); i++ {
			x, y := lines[rule][i-1], lines[rule][i]
			c.p.Line(x.X, x.Y, y.X, y.Y, strokeOf(rule))
		}
	}
	for rule, points := range lines {
		c.name(rule, points)
	}
	c.p.Line(a.left, a.y(0), a.left+a.width, a.y(0), draw.Stroke(draw.Black, 0.3))
	c.asItIs(&a, of(&c.s.Now))
	return top + height
}

// heard are the points of which it is known what is heard.
func (c *curves) heard() (list []*contract.SizePoint) {
	for i := range c.s.Curve {
		if p := &c.s.Curve[i]; p.Heard != nil {
			list = append(list, p)
		}
	}
	return list
}

// ear draws for how long a loss is heard, and heard plainly, by the rules of the rig,
// and returns its bottom. Each line is named where the two are furthest apart: above the
// one, below the other.
func (c *curves) ear(top, height float64, heard []*contract.SizePoint) float64 {
	most, apart := 1.0, 0
	if now := c.s.NowHeard; now != nil {
		most = math.Max(most, now.FaintS)
	}
	for i, p := range heard {
		most = math.Max(most, p.Heard.FaintS)
		if h := heard[apart].Heard; p.Heard.FaintS-p.Heard.PlainS > h.FaintS-h.PlainS {
			apart = i
		}
	}
	a := c.area(top, height, most)
	a.levels("seconds heard")
	c.marks(&a, true)
	line := func(of func(*contract.HeardFigures) float64, style draw.Style, name string, up float64) {
		for i, p := range heard {
			x, y := a.x(float64(p.Voices)), a.y(of(p.Heard))
			if i > 0 {
				c.p.Line(a.x(float64(heard[i-1].Voices)), a.y(of(heard[i-1].Heard)), x, y, style)
			}
			if i == apart {
				align := draw.Start
				if up < 0 {
					align = draw.End
				}
				c.p.Text(x+2*up, y-1.2*up, name, draw.Type{Size: small, Align: align})
			}
		}
	}
	line(func(h *contract.HeardFigures) float64 { return h.PlainS }, earStroke, "plainly", -1)
	line(func(h *contract.HeardFigures) float64 { return h.FaintS }, strokes[0], "at all", 1)
	c.p.Line(a.left, a.y(0), a.left+a.width, a.y(0), draw.Stroke(draw.Black, 0.3))
	if now := c.s.NowHeard; now != nil {
		c.asItIs(&a, now.PlainS)
		c.asItIs(&a, now.FaintS)
	}
	return top + height
}

// asItIs puts a dot where the rig as it is stands among identical voices.
func (c *curves) asItIs(a *area, value float64) {
	if n := float64(c.s.Voices); n >= a.fromX && n <= a.toX {
		c.p.Circle(a.x(n), a.y(value), nowDot, draw.Fill(draw.Black))
	}
}

// nowDot is the radius of that dot.
const nowDot = 1.1

// earStroke is that of what is heard plainly.
var earStroke = draw.Style{Stroke: draw.Accent, Width: 0.8, Dash: 1.6}

// points is the curve of a rule.
func (c *curves) points(a *area, rule int, of func(*contract.Cost) float64) (points []draw.Point) {
	for i := range c.s.Curve {
		v := of(c.s.Shown(&c.s.Curve[i])[rule])
		points = append(points, draw.Point{X: a.x(float64(c.s.Curve[i].Voices)), Y: a.y(v)})
	}
	return points
}

// name puts the letter of a rule on its curve, each at a place of its own.
func (c *curves) name(rule int, points []draw.Point) {
	at := points[min(rule+1, len(points)-1)]
	c.p.Circle(at.X, at.Y, 1.9, draw.Style{Fill: draw.Paper, Stroke: strokeOf(rule).Stroke, Width: 0.3})
	c.p.Text(at.X, at.Y+0.95, say.RuleLetter(rule), draw.Type{Size: small, Bold: true, Align: draw.Middle})
}

// marks draws the numbers of voices that matter, and names them above the first
// chart.
func (c *curves) marks(a *area, named bool) {
	for i := range c.s.Curve {
		v := &c.s.Curve[i]
		what := say.CurveMark(c.s, v)
		if what == "" {
			continue
		}
		x := a.x(float64(v.Voices))
		c.p.Line(x, a.top, x, a.top+a.height, draw.Style{Stroke: draw.Grey, Width: 0.25, Dash: 1})
		if named {
			t := draw.Type{Size: small, Align: draw.Middle}
			half := draw.Width(what, t) / 2
			c.p.Text(min(max(x, a.left+half), a.left+a.width-half), a.top-1.2-c.lift(v), what, t)
		}
	}
}

// lift raises a name that would lie over that of the mark before it.
func (c *curves) lift(v *contract.SizePoint) float64 {
	up := 0.0
	for i := range c.s.Curve {
		other := &c.s.Curve[i]
		if what := say.CurveMark(c.s, other); other.Voices < v.Voices && what != "" {
			gap := float64(v.Voices-other.Voices) / math.Max(1, float64(c.s.Curve[len(c.s.Curve)-1].Voices-1)) * c.width
			need := (draw.Width(what, draw.Type{Size: small}) + draw.Width(say.CurveMark(c.s, v), draw.Type{Size: small})) / 2
			if gap < need+1.5 && up == 0 {
				up = 2.8
			} else {
				up = 0
			}
		}
	}
	return up
}

// voices numbers the x axis.
func (c *curves) voices(y float64) {
	a := c.area(0, 1, 1)
	last := int(a.toX)
	step := int(nice(float64(last)/(c.width/8), 1))
	for n := 1; n <= last; n++ {
		if n == 1 || n%step == 0 {
			x := a.x(float64(n))
			c.p.Line(x, y, x, y+1.2, draw.Stroke(draw.Black, 0.25))
			c.p.Text(x, y+4, strconv.Itoa(n), draw.Type{Size: small, Align: draw.Middle})
		}
	}
	c.p.Text(c.left+c.width/2, y+8, "identical voices that all parts share", draw.Type{Size: small, Ink: draw.Dark, Align: draw.Middle})
}

func (c *curves) legend(y float64, names []string) {
	t := draw.Type{Size: body}
	width := c.width - 14
	for i, name := range names {
		c.p.Line(c.left, y, c.left+10, y, strokeOf(i))
		text := say.RuleLetter(i) + ": " + name
		if i == 0 {
			text += " (the rig's own)"
		}
		c.p.Text(c.left+13, y+1, draw.Fit(text, width, t), t)
		y += 5
	}
	c.p.Rect(c.left, y-1.5, 10, 3, draw.Fill(draw.Light))
	c.p.Text(c.left+13, y+1, draw.Fit("no rule can do better", width, t), t)
	c.p.Circle(c.left+5, y+5, nowDot, draw.Fill(draw.Black))
	c.p.Text(c.left+13, y+6, draw.Fit("in service: the rig as it is, with its parts and banks", width, t), t)
}
