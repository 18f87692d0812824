package draw

import "math"

// Picture is a list of marks on a white sheet of Width by Height millimetres.
// The origin is the top left corner.
type Picture struct {
	Width, Height float64
	Title         string // for viewers; not drawn
	About         string // more of it, a sentence or so
	marks         []mark
	sections      []section
}

// section is a place that a viewer can go to.
type section struct {
	level int
	y     float64
	name  string
}

// New returns an empty picture. Both sides are in millimetres.
func New(width, height float64) *Picture { return &Picture{Width: width, Height: height} }

// Section names the place at a height, in mm from the top; a level is 0, or 1 for a part of
// the last section of level 0. A viewer of a PDF lists it.
func (p *Picture) Section(level int, y float64, name string) {
	p.sections = append(p.sections, section{level, y, name})
}

// Point is a place in millimetres.
type Point struct{ X, Y float64 }

// Style says how a shape is painted.
type Style struct {
	Fill   Ink
	Stroke Ink
	Width  float64 // of the stroke, in mm; 0 for a thin line of 0.2 mm
	Dash   float64 // length of dashes and gaps, in mm; 0 for none
}

// Fill paints a shape without an outline.
func Fill(i Ink) Style { return Style{Fill: i} }

// Stroke paints an outline of a width in mm.
func Stroke(i Ink, width float64) Style { return Style{Stroke: i, Width: width} }

// Type says how a text is set.
type Type struct {
	Size   float64 // of the em, in mm; capitals are 0.73 of it high
	Bold   bool
	Ink    Ink   // None for Black
	Align  Align // of the text against its point
	Turned bool  // reads upwards
}

// Align is where a text stands against its point.
type Align uint8

// The alignments.
const (
	Start Align = iota
	Middle
	End
)

type kind uint8

const (
	rect kind = iota
	line
	path
	text
	clip
	unclip
)

// mark is one thing drawn. Texts have their width in w.
type mark struct {
	kind       kind
	style      Style
	kindOf     Type
	x, y, w, h float64
	text       string
	points     []Point
}

// thin is the width of a stroke that says none.
const thin = 0.2

func (s Style) width() float64 {
	if s.Width <= 0 {
		return thin
	}
	return s.Width
}

// Rect draws a rectangle.
func (p *Picture) Rect(x, y, w, h float64, s Style) {
	p.marks = append(p.marks, mark{kind: rect, style: s, x: x, y: y, w: w, h: h})
}

// Line draws a straight line.
func (p *Picture) Line(x1, y1, x2, y2 float64, s Style) {
	p.marks = append(p.marks, mark{kind: line, style: s, x: x1, y: y1, w: x2, h: y2})
}

// Hatch draws slanting lines into a rectangle, so far apart in mm. Those of rectangles on
// one line meet.
func (p *Picture) Hatch(x, y, w, h, apart float64, s Style) {
	for at := apart * math.Ceil((x-h)/apart); at < x+w; at += apart { // where the line would meet the bottom
		x0, x1 := max(at, x), min(at+h, x+w)
		if x1 > x0 {
			p.Line(x0, y+h-(x0-at), x1, y+h-(x1-at), s)
		}
	}
}

// Path draws a line through points, which is closed where it is filled. The
// points must not be changed afterwards.
func (p *Picture) Path(points []Point, s Style) {
	if len(points) > 1 {
		p.marks = append(p.marks, mark{kind: path, style: s, points: points})
	}
}

// Circle draws a circle about a centre.
func (p *Picture) Circle(x, y, r float64, s Style) {
	const corners = 24
	points := make([]Point, 0, corners+1)
	for i := range corners + 1 {
		sin, cos := math.Sincos(2 * math.Pi * float64(i%corners) / corners)
		points = append(points, Point{x + r*cos, y + r*sin})
	}
	p.Path(points, s)
}

// Text writes a line whose baseline starts, is centred or ends at a point.
// Line breaks are spaces.
func (p *Picture) Text(x, y float64, s string, t Type) {
	if t.Ink == None {
		t.Ink = Black
	}
	s = Clean(s)
	if s == "" {
		return
	}
	p.marks = append(p.marks, mark{kind: text, kindOf: t, x: x, y: y, w: widthOf(s, t), text: s})
}

// Clip hides what is drawn outside of a rectangle, up to the next Unclip. Clips
// do not nest.
func (p *Picture) Clip(x, y, w, h float64) {
	p.marks = append(p.marks, mark{kind: clip, x: x, y: y, w: w, h: h})
}

// Unclip ends a Clip.
func (p *Picture) Unclip() { p.marks = append(p.marks, mark{kind: unclip}) }

// Place draws another picture with its top left corner at a point.
func (p *Picture) Place(x, y float64, other *Picture) {
	for _, m := range other.marks {
		m.x, m.y = m.x+x, m.y+y
		if m.kind == line {
			m.w, m.h = m.w+x, m.h+y
		}
		if m.points != nil {
			moved := make([]Point, len(m.points))
			for i, at := range m.points {
				moved[i] = Point{at.X + x, at.Y + y}
			}
			m.points = moved
		}
		p.marks = append(p.marks, m)
	}
}

// start is where a text begins on its baseline.
func (m *mark) start() (x, y float64) {
	shift := [...]float64{Start: 0, Middle: 0.5, End: 1}[m.kindOf.Align] * m.w
	if m.kindOf.Turned {
		return m.x, m.y + shift
	}
	return m.x - shift, m.y
}

// Placed is a text and the box that it fills, in millimetres.
type Placed struct {
	Text                     string
	Left, Top, Right, Bottom float64
	Size                     float64
}

// ascent and descent of the font, in ems, as far as letters with accents go.
const ascent, descent = 0.93, 0.24

// Texts lists the texts with the boxes that they fill.
func (p *Picture) Texts() []Placed {
	var list []Placed
	for i := range p.marks {
		m := &p.marks[i]
		if m.kind != text {
			continue
		}
		x, y := m.start()
		up, down := ascent*m.kindOf.Size, descent*m.kindOf.Size
		box := Placed{m.text, x, y - up, x + m.w, y + down, m.kindOf.Size}
		if m.kindOf.Turned {
			box.Left, box.Top, box.Right, box.Bottom = x-up, y-m.w, x+down, y
		}
		list = append(list, box)
	}
	return list
}
