package paper

import (
	"slices"
	"strconv"

	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/cmd/choirloft/internal/draw"
)

// long is from how many pages of rows on a document has contents.
const long = 5

// entry is a line of the contents, which has its page once all are laid out.
type entry struct {
	name  string
	level int
	write func(page string)
}

// listContents sets the contents of a document: its headings, and the titles of groups in its tables.
func (f *flow) listContents(d *doc.Doc) {
	f.set(f.heading("Contents"))
	for _, b := range d.Blocks {
		switch b := b.(type) {
		case doc.Heading:
			f.enter(b.Text, 0)
		case doc.Table:
			for i := range b.Groups {
				if title := b.Groups[i].Title; title != "" && len(b.Groups) > 1 {
					f.enter(title, 1)
				}
			}
		}
	}
}

func (f *flow) enter(name string, level int) {
	i := len(f.contents)
	f.contents = append(f.contents, entry{name: name, level: level})
	t, width, in := draw.Type{Size: body, Bold: level == 0}, f.measure(), 4*float64(level)
	lines := draw.Wrap(name, width-in-10, t)
	f.set(piece{height: t.Size*leading*float64(len(lines)) + 0.3, draws: func(p *draw.Picture, x, y float64) {
		for j, line := range lines {
			p.Text(x+in, y+t.Size*(1+leading*float64(j)), line, t)
		}
		last := y + t.Size*(1+leading*float64(len(lines)-1))
		p.Line(x+in, last+1, x+width, last+1, draw.Stroke(draw.Light, 0.15))
		t.Align = draw.End
		f.contents[i].write = func(page string) { p.Text(x+width, last, page, t) }
	}})
}

// writeContents writes the pages into the contents, whose lines are in the order of the
// sections.
func (f *flow) writeContents() {
	rest := f.sections
	for _, e := range f.contents {
		at := slices.IndexFunc(rest, func(s sectionAt) bool { return s.name == e.name && s.level == e.level })
		if at < 0 || e.write == nil {
			continue
		}
		e.write(strconv.Itoa(rest[at].page))
		rest = rest[at+1:]
	}
}
