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
	draw.ReadAhead()
	return draw.PDF(w, draw.About{Title: title, Date: o.Date}, Pages(d, figures, o)...)
}

// AtLeast is how many pages the rows of a document's tables fill, without laying
// them out: of A4, where no row takes more than a line and two stand side by side.
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
	return int(float64(rows)*row/(2*(height-top-frame-foot))) + 1
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
		f.identify(first, f.edged[0])
	}
	return f.pages
}

// document lays out the blocks of a document from a page of its own on, section by section.
func (f *flow) document(d *doc.Doc, figures Figures) {
	f.page("", false)
	for from := 0; from < len(d.Blocks); {
		to := from + 1
		for to < len(d.Blocks) && !begins(d.Blocks[to]) {
			to++
		}
		f.section(d.Blocks[from:to], figures)
		if from == 0 && AtLeast(d) >= long {
			f.cols = 2
			f.listContents(d)
		}
		from = to
	}
}

func begins(b doc.Block) bool {
	_, is := b.(doc.Heading)
	return is
}

// section sets a section in as many columns as its tables leave room for. An answer above
// all goes across the page.
func (f *flow) section(blocks doc.Blocks, figures Figures) {
	f.cols = 2
	switch _, answers := blocks[0].(doc.Answer); {
	case answers, slices.ContainsFunc(blocks, func(b doc.Block) bool { return f.wider(b, 2) }):
		f.cols = 1
	case slices.ContainsFunc(blocks, f.manyRows) && !slices.ContainsFunc(blocks, func(b doc.Block) bool { return f.wider(b, 3) }):
		f.cols = 3
	}
	for i, b := range blocks {
		f.block(b, figures)
		if i+1 < len(blocks) && leads(b, blocks[i+1]) {
			f.keepLast()
		}
	}
}

// leads tells whether a block is words before a table.
func leads(b, next doc.Block) bool {
	switch b.(type) {
	case doc.Paragraph, doc.Aside:
		switch next.(type) {
		case doc.Table, doc.Aside:
			return true
		}
	}
	return false
}

// wider tells whether a block is wider than one of so many columns.
func (f *flow) wider(b doc.Block, columns int) bool {
	width := 0.0
	switch b := b.(type) {
	case doc.Table:
		width = leastWidth(b)
	case doc.List:
		for _, item := range b.Items {
			for _, line := range item.Below {
				if w := ticked + draw.Width(line, draw.Type{Size: body}); w <= f.o.column(2) { // else it is folded anyhow
					width = max(width, w)
				}
			}
		}
	}
	return width > f.o.column(columns)
}

// manyRows tells whether a block is long for a column.
func (f *flow) manyRows(b doc.Block) bool {
	const many = 15
	rows := 0
	switch b := b.(type) {
	case doc.Table:
		for i := range b.Groups {
			rows += len(b.Groups[i].Rows)
		}
	case doc.List:
		for i := range b.Items {
			rows += len(b.Items[i].Below)
		}
	}
	return rows >= many
}

func (f *flow) block(b doc.Block, figures Figures) {
	t := draw.Type{Size: body}
	bold := draw.Type{Size: body, Bold: true}
	switch b := b.(type) {
	case doc.Answer:
		f.set(f.paragraph(b.Text, bold)...)
	case doc.Heading:
		if b.Page {
			f.pour()
			f.own = true
		}
		f.set(f.heading(b.Text))
	case doc.Paragraph:
		f.set(f.paragraph(b.Text, t)...)
	case doc.Aside:
		f.set(f.aside(b.Text)...)
	case doc.List:
		f.list(b)
	case doc.Table:
		f.table(b)
	case doc.Figure:
		if draws := figures[b.Name]; draws != nil {
			draws(f)
		}
	case doc.Findings:
		for i := range b {
			f.set(f.finding(&b[i]))
		}
	}
}

// heading is the line above what follows.
func (f *flow) heading(text string) piece {
	t := draw.Type{Size: head, Bold: true}
	lines := draw.Wrap(text, f.measure(), t)
	return piece{height: head*1.15*float64(len(lines)) + 1.2, gap: 3.4, keep: true, section: text, draws: func(p *draw.Picture, x, y float64) {
		for i, line := range lines {
			p.Text(x, y+head*(1+1.15*float64(i)), line, t)
		}
	}}
}

// most is as high as a text may be that is one piece.
const most = 140.0

// lines are a text folded to a width, in pieces that are not too high.
func lines(text []string, indent float64, t draw.Type) (all []piece) {
	for from := 0; from < len(text); {
		to := min(len(text), from+int(most/(t.Size*leading)))
		part, first := text[from:to], from == 0
		all = append(all, piece{height: t.Size * leading * float64(len(part)), draws: func(p *draw.Picture, x, y float64) {
			for i, line := range part {
				at := x
				if i > 0 || !first {
					at += indent
				}
				p.Text(at, y+t.Size*(1+leading*float64(i)), line, t)
			}
		}})
		from = to
	}
	return all
}

// leading is from one line to the next, in ems.
const leading = 1.32

// paragraph is sentences, hanging by an indent.
func (f *flow) paragraph(text string, t draw.Type) []piece {
	const hang = 4
	all := lines(draw.Wrap(text, f.measure()-hang, t), hang, t)
	if len(all) > 0 {
		all[0].gap = 0.9
	}
	return all
}

// aside is a remark.
func (f *flow) aside(text string) []piece {
	all := f.paragraph(text, draw.Type{Size: small, Ink: draw.Dark})
	if len(all) > 0 {
		all[0].gap = 1.6
	}
	return all
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
	title := f.dropHeading()
	f.turn(title)
	f.picture(draws)
	f.page("", false)
}

// list sets items, what is below them indented or with a box to tick. An item stays
// together where that leaves no large gap.
func (f *flow) list(l doc.List) {
	t := draw.Type{Size: body}
	for i, item := range l.Items {
		text, kind := item.Text, t
		if l.Numbered {
			text, kind = strconv.Itoa(i+1)+"  "+text, draw.Type{Size: body, Bold: true}
		}
		all := f.paragraph(text, kind)
		if l.Numbered && len(all) > 0 {
			all[0].gap = 2.2
		}
		heads := slices.Clone(all)
		for j, line := range item.Below {
			x := f.below(line, l.Boxes)
			if j > 0 {
				x.again = heads
			}
			all = append(all, x)
		}
		for j := range len(all) - 1 {
			all[j].keep = j < len(heads) || heightOf(all) < most/2
		}
		f.set(all...)
	}
}

// box is the side of a box to tick, and ticked the indent of what stands behind it.
const box, ticked = 3.0, 5.4

// below is what belongs to an item.
func (f *flow) below(text string, boxed bool) piece {
	t, left := draw.Type{Size: body}, 4.0
	if boxed {
		left = ticked
	}
	lines := draw.Wrap(text, f.measure()-left, t)
	return piece{height: t.Size*leading*float64(len(lines)) + 0.3, gap: 0.4, draws: func(p *draw.Picture, x, y float64) {
		if boxed {
			p.Rect(x+0.6, y+t.Size*1.05-box+0.3, box, box, draw.Stroke(draw.Black, 0.25))
		}
		for i, line := range lines {
			p.Text(x+left, y+t.Size*(1+leading*float64(i)), line, t)
		}
	}}
}
