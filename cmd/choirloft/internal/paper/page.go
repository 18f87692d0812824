package paper

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"choirloft/cmd/choirloft/internal/draw"
)

// Options say how a sheet is printed.
type Options struct {
	Letter  bool      // US letter instead of A4
	Date    time.Time // printed on each page; zero for none
	Command string    // that is printed on pictures; empty for none
	Cable   float64   // diameter of the cables that flags go round, in mm; 0 for 4
	Width   int       // of a PNG in pixels, [LeastPixels] to [MostPixels]; 0 for five to the mm
}

// size is that of the upright page, in mm: ISO 216 A4, or 8.5 by 11 inches.
func (o Options) size() (width, height float64) {
	if o.Letter {
		return 215.9, 279.4
	}
	return 210, 297
}

// Measures of a page, in mm.
const (
	edge   = 8.0  // that printers leave white
	frame  = edge // of the rule round a page
	margin = 12.0 // of what is inside
	strip  = 11.0 // height of the title strip
	foot   = 8.0
	top    = frame + strip + 3 // of what is inside
)

// Type sizes, in mm of the em.
const (
	large  = 5.2
	head   = 4.0
	body   = 3.0
	cell   = 2.75
	small  = 2.75 // capitals of 2 mm
	remark = 2.65 // for what is not read at the rack: 7.5 points, the least
)

// flow fills pages from the top.
type flow struct {
	o           Options
	name        string // of the rig
	rules       string // in words, on pictures; empty where they say nothing
	fingerprint string
	pages       []*draw.Picture
	titles      []string
	y           float64
	bare        bool   // nothing but what is drawn: no frame, no strip, one page of any height
	edged       []bool // of pages: drawn to their edges, without frame and strip
	keys        *keys  // to names that do not fit; nil for none
	keyText     string // what is said of them on every page
	galley      []band
	cols        int  // of what is being set
	own         bool // it begins a page, if the rest of the present one does not hold it whole
	sections    []sectionAt
	contents    []entry
}

// sectionAt is where a section begins: its page counts from 1.
type sectionAt struct {
	name  string
	level int
	page  int
}

func newFlow(name, fingerprint string, o Options) *flow {
	return &flow{o: o, name: name, fingerprint: fingerprint, cols: 1}
}

// page begins a page.
func (f *flow) page(title string, landscape bool) {
	f.pour()
	w, h := f.o.size()
	if landscape {
		w, h = h, w
	}
	p := draw.New(w, h)
	p.Title = f.name
	if title != "" {
		p.Title += ": " + title
	}
	if last := len(f.titles) - 1; title != "" && (last < 0 || f.titles[last] != title) {
		p.Section(0, 0, title)
		f.sections = append(f.sections, sectionAt{title, 0, len(f.pages) + 1})
	}
	f.pages, f.titles, f.edged = append(f.pages, p), append(f.titles, title), append(f.edged, false)
	f.y = f.top()
	f.writeKeys()
}

// turn makes a page that has only been begun one that lies, or begins one.
func (f *flow) turn(title string) {
	f.dropEmpty()
	f.page(title, true)
}

// dropEmpty takes back a page on which nothing is.
func (f *flow) dropEmpty() {
	f.pour()
	if n := len(f.pages); n > 0 && f.y <= f.top() {
		f.pages, f.titles, f.edged = f.pages[:n-1], f.titles[:n-1], f.edged[:n-1]
		f.sections = slices.DeleteFunc(f.sections, func(s sectionAt) bool { return s.page == n })
	}
}

// edge begins a page that lies and is drawn to its edges.
func (f *flow) edge(title string) {
	if f.bare {
		w, h := f.o.size()
		f.on().Width, f.on().Height = h, w
		f.y = edge
		return
	}
	f.turn(title)
	f.edged[len(f.edged)-1] = true
	f.y = edge
}

// top is where what is inside begins.
func (f *flow) top() float64 {
	if f.bare {
		return 1
	}
	return top
}

// on is the present page.
func (f *flow) on() *draw.Picture { return f.pages[len(f.pages)-1] }

func (f *flow) left() float64  { return margin }
func (f *flow) width() float64 { return f.on().Width - 2*margin }

// bottom is where what is inside ends.
func (f *flow) bottom() float64 {
	if f.edged[len(f.edged)-1] {
		return f.on().Height - edge
	}
	return f.on().Height - frame - foot - 1
}

// need begins another page of the same title if there is no room for a height.
func (f *flow) need(height float64) bool {
	if f.bare || f.y+height <= f.bottom() || f.y <= top {
		return false
	}
	f.page(f.titles[len(f.titles)-1], f.on().Width > f.on().Height)
	return true
}

// gap leaves room, but not at the top of a page.
func (f *flow) gap(height float64) {
	if f.y > f.top() {
		f.y += height
	}
}

// shrink sets a text smaller, down to the least size for the rack, where that
// makes it fit.
func shrink(text string, width float64, t draw.Type) draw.Type {
	if w := draw.Width(text, t); w > width {
		t.Size = max(t.Size*width/w*0.999, min(small, t.Size))
	}
	return t
}

// finish writes what stands on every page and returns them all.
func (f *flow) finish() []*draw.Picture {
	f.pour()
	f.writeContents()
	for i, p := range f.pages {
		if !f.edged[i] {
			f.frame(p)
			f.strip(p, f.titles[i], fmt.Sprintf("%d of %d", i+1, len(f.pages)))
			checkBar(p, margin, p.Height-frame-4)
		}
	}
	return f.pages
}

// frame draws the rule around the page, with a tick at the middle of each side
// to fold or centre by.
func (f *flow) frame(p *draw.Picture) {
	s := draw.Stroke(draw.Black, 0.35)
	p.Rect(frame, frame, p.Width-2*frame, p.Height-2*frame, s)
	for _, x := range []float64{frame - 3, p.Width - frame} {
		p.Line(x, p.Height/2, x+3, p.Height/2, s)
	}
	for _, y := range []float64{frame - 3, p.Height - frame} {
		p.Line(p.Width/2, y, p.Width/2, y+3, s)
	}
}

// strip writes the title of a page: rig and page, plan, date, number.
func (f *flow) strip(p *draw.Picture, title, number string) {
	thin := draw.Stroke(draw.Black, 0.2)
	p.Line(frame, frame+strip, p.Width-frame, frame+strip, thin)
	x := p.Width - frame
	field := func(label, value string, width float64) {
		x -= width
		p.Line(x, frame, x, frame+strip, thin)
		p.Text(x+2, frame+4, label, draw.Type{Size: remark, Ink: draw.Dark})
		p.Text(x+2, frame+9.2, value, draw.Type{Size: head, Bold: true})
	}
	field("page", number, max(21, draw.Width(number, draw.Type{Size: head, Bold: true})+4))
	if !f.o.Date.IsZero() {
		field("date", f.o.Date.Format(time.DateOnly), 27)
	}
	field("plan", f.fingerprint, 29)
	width := x - margin - 2
	name, below := draw.Type{Size: large, Bold: true}, draw.Type{Size: body, Ink: draw.Dark}
	high, low := 6.2, 9.9
	if draw.Width(title, draw.Type{Size: remark}) > width { // two lines of it
		name.Size, high, low = head*0.85, 4.2, 8.8
	}
	twoLines(p, margin, frame+high, f.name, width, name)
	twoLines(p, margin, frame+low, title, width, below)
}

// twoLines writes a text smaller where it is too wide, and where that is not enough in two
// lines, the first a little higher and the second a little lower.
func twoLines(p *draw.Picture, x, y float64, text string, width float64, t draw.Type) (wide float64) {
	if w := draw.Width(text, t); w > width {
		t.Size = max(t.Size*width/w*0.999, remark)
	}
	lines := []string{text}
	if draw.Width(text, t) > width {
		if lines = draw.Wrap(text, width, t); len(lines) > 2 { // no name is as long as that
			lines = []string{lines[0], draw.Fit(strings.Join(lines[1:], " "), width, t)}
		}
		y -= t.Size * 0.6
	}
	for i, line := range lines {
		p.Text(x, y+t.Size*1.1*float64(i), line, t)
		wide = max(wide, draw.Width(line, t))
	}
	return wide
}

// checkBar draws what tells whether the page was printed in its own size: two
// ends exactly 100 mm apart.
func checkBar(p *draw.Picture, left, y float64) {
	const long = 100
	p.Line(left, y, left+long, y, draw.Stroke(draw.Black, 0.25))
	for i := range 11 {
		up := 1.2
		if i%5 == 0 {
			up = 2.2
		}
		x := left + float64(10*i)
		p.Line(x, y-up, x, y+0.6, draw.Stroke(draw.Black, 0.25))
	}
	t := draw.Type{Size: remark, Ink: draw.Dark}
	if text := "This bar is 100 mm long: print at 100 %."; left+long+3+draw.Width(text, t) < p.Width-margin-30 {
		p.Text(left+long+3, y+0.6, text, t)
	} else {
		p.Text(left, y+3.2, text, t)
	}
}
