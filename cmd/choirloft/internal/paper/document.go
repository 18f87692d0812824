package paper

import (
	"io"
	"slices"
	"strconv"
	"strings"
	"time"

	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/cmd/choirloft/internal/draw"
)

// Figures are what draws the figures of a document, by name.
type Figures map[string]func(*flow)

// Document writes a document as PDF.
func Document(w io.Writer, d *doc.Doc, figures Figures, o Options) error {
	title := d.Title
	if d.Plan != "" {
		title += " [" + d.Plan + "]"
	}
	return draw.PDF(w, draw.About{Title: title, Date: o.Date}, Pages(d, figures, o)...)
}

// AtLeast is how many pages the rows of a document's tables fill, without laying
// them out: of A4, where no row takes more than a line.
func AtLeast(d *doc.Doc) int {
	rows := 0
	for _, b := range d.Blocks {
		if t, ok := b.(doc.Table); ok {
			for i := range t.Groups {
				rows += len(t.Groups[i].Rows)
			}
		}
	}
	_, height := Options{}.size()
	return int(float64(rows)*row/(height-top-frame-foot)) + 1
}

// Pages lays a document out on pages.
func Pages(d *doc.Doc, figures Figures, o Options) []*draw.Picture {
	f := newFlow(d.Title, d.Plan, o)
	f.document(d, figures)
	return f.finish()
}

// SVG writes the pages of a document one below the other.
func SVG(w io.Writer, d *doc.Doc, figures Figures, o Options) error {
	pages := Pages(d, figures, o)
	all := draw.New(0, 0)
	for _, p := range pages {
		all.Width, all.Height = max(all.Width, p.Width), all.Height+p.Height
	}
	all.Title, all.About = pages[0].Title, strings.Join(append(footLines(o.Command, ""), "plan "+d.Plan), ", ")+"."
	y := 0.0
	for _, p := range pages {
		all.Place(0, y, p)
		y += p.Height
	}
	return draw.SVG(w, all)
}

// HTML writes a document as one page that needs nothing else, without what is only on paper.
func HTML(w io.Writer, d *doc.Doc, figures Figures, o Options) error {
	d = d.OffPaper()
	html := doc.HTMLOptions{Letter: o.Letter, Figures: Drawn(d, figures, o)}
	if !o.Date.IsZero() {
		html.Date = o.Date.Format(time.DateOnly)
	}
	return doc.HTML(w, d, html)
}

// Drawn are the figures of a document as SVG, by name.
func Drawn(d *doc.Doc, figures Figures, o Options) map[string][]byte {
	all := map[string][]byte{}
	for _, b := range d.Blocks {
		if x, ok := b.(doc.Figure); ok && figures[x.Name] != nil {
			for _, p := range bare(d, o, figures[x.Name]) {
				all[x.Name] = draw.AppendSVG(all[x.Name], p)
			}
		}
	}
	return all
}

// bare is what is drawn, without what stands on every page.
func bare(d *doc.Doc, o Options, draws func(*flow)) []*draw.Picture {
	f := newFlow(d.Title, d.Plan, o)
	f.bare = true
	f.page("", false)
	first := f.on()
	if draws(f); f.on() == first {
		first.Height = f.y + 1
	}
	return f.pages
}

// document lays out the blocks of a document from a page of its own on.
func (f *flow) document(d *doc.Doc, figures Figures) {
	f.page("", false)
	for _, b := range d.Blocks {
		f.block(b, figures)
	}
}

func (f *flow) block(b doc.Block, figures Figures) {
	t := draw.Type{Size: body}
	bold := draw.Type{Size: body, Bold: true}
	switch b := b.(type) {
	case doc.Answer:
		f.paragraph(b.Text, bold)
	case doc.Heading:
		if b.Page && f.y > f.top() {
			f.page(b.Text, false)
			return
		}
		f.heading(b.Text, 4*row)
	case doc.Paragraph:
		f.paragraph(b.Text, t)
	case doc.Aside:
		f.gap(2)
		f.paragraph(b.Text, draw.Type{Size: small, Ink: draw.Dark})
	case doc.List:
		f.list(b)
	case doc.Table:
		f.table(b)
		f.gap(2)
		for _, legend := range b.Legends() {
			f.paragraph(legend, draw.Type{Size: small, Ink: draw.Dark})
		}
		f.gap(1.5)
	case doc.Figure:
		if draws := figures[b.Name]; draws != nil {
			draws(f)
		}
	case doc.Findings:
		for i := range b {
			f.finding(&b[i])
		}
	}
}

// spread draws on a landscape page of its own, or where nothing but what is drawn
// is wanted, as large as a picture by itself. A page that has only been begun is
// turned.
func (f *flow) spread(draws func(width, height float64) *draw.Picture) {
	if f.bare {
		f.pages = nil
		f.alone(draws(pictureWidth, pictureHeight))
		return
	}
	title := f.titles[len(f.titles)-1]
	f.turn(title)
	f.picture(draws)
	f.page(title, false)
}

// list writes items, what is below them indented or with a box to tick.
func (f *flow) list(l doc.List) {
	t := draw.Type{Size: body}
	bold := draw.Type{Size: body, Bold: true}
	for i, item := range l.Items {
		text, kind := item.Text, t
		if l.Numbered {
			text, kind = strconv.Itoa(i+1)+"  "+text, bold
			f.gap(2)
			f.need(12)
		}
		f.paragraph(text, kind)
		if f.pairs(item.Below, l.Boxes, t) {
			continue
		}
		for _, line := range item.Below {
			f.below(line, l.Boxes, t)
		}
	}
}

// indent is that of what belongs to an item, and box the side of a box to tick.
const indent, box = 10.0, 3.0

// pairs writes lines with boxes two beside each other, from left to right, where all are
// short enough.
func (f *flow) pairs(lines []string, ticked bool, t draw.Type) bool {
	half := f.width() / 2
	if !ticked || len(lines) < 2 || slices.ContainsFunc(lines, func(text string) bool { return draw.Width(text, t) > half-indent-2 }) {
		return false
	}
	for i, line := range lines {
		if i%2 == 0 {
			f.need(t.Size * 1.8)
			f.y += t.Size * 1.2
		}
		x := f.left() + half*float64(i%2)
		f.on().Rect(x+4, f.y-box+0.3, box, box, draw.Stroke(draw.Black, 0.25))
		f.on().Text(x+indent, f.y, line, t)
		if i%2 == 1 || i == len(lines)-1 {
			f.y += t.Size * 0.6
		}
	}
	return true
}

// below writes what belongs to an item.
func (f *flow) below(text string, ticked bool, t draw.Type) {
	for i, line := range draw.Wrap(text, f.width()-indent, t) {
		f.need(t.Size * 1.5)
		f.y += t.Size * 1.2
		if i == 0 && ticked {
			f.on().Rect(f.left()+4, f.y-box+0.3, box, box, draw.Stroke(draw.Black, 0.25))
		}
		f.on().Text(f.left()+indent, f.y, line, t)
		f.y += t.Size * 0.3
	}
	f.y += t.Size * 0.3
}
