package draw

import (
	"bytes"
	"io"
	"math"
	"strconv"
	"time"

	"codeberg.org/go-pdf/fpdf"
)

// About is what a PDF says of itself.
type About struct {
	Title string
	Date  time.Time // zero for none: then the file says none
}

// undated is what fpdf writes into a file without a date, and made is how it writes that.
var undated = time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)

const made = "/CreationDate (D:20000101000000)\n/ModDate (D:20000101000000)"

// PDF writes pictures as the pages of a document, each of its own size, and their
// sections as its outline. It says its title and its language; it has no tags, for which
// fpdf has no means. The font is embedded, as far as it is used; letters that it lacks are
// refused, by a [LettersError].
func PDF(w io.Writer, about About, pages ...*Picture) error {
	if err := legible(pages...); err != nil {
		return err
	}
	doc := blankFor(pages)
	doc.SetCatalogSort(true)
	date := about.Date
	if date.IsZero() {
		date = undated
	}
	doc.SetCreationDate(date)
	doc.SetModificationDate(date)
	doc.SetTitle(Clean(about.Title), true)
	doc.SetCreator("choirloft", true)
	doc.SetLang("en")
	doc.SetMargins(0, 0, 0)
	doc.SetAutoPageBreak(false, 0)
	doc.SetCompression(false) // see packed
	outlined := false
	for _, p := range pages {
		// A size above its height is turned by fpdf where it is called portrait.
		orientation := "P"
		size := fpdf.SizeType{Wd: p.Width, Ht: p.Height}
		if p.Width > p.Height {
			orientation, size = "L", fpdf.SizeType{Wd: p.Height, Ht: p.Width}
		}
		doc.AddPageFormat(orientation, size)
		doc.SetFont(family, "", 1) // without a font fpdf takes no letters beyond ASCII
		for _, s := range p.sections {
			level := s.level
			if !outlined {
				level = 0 // a part of none
			}
			outlined = true
			// fpdf reckons from the foot of the last page, of whatever height.
			doc.Bookmark(Clean(s.name), level, s.y-p.Height+pages[len(pages)-1].Height)
		}
		b := pdf{doc: doc, height: p.Height}
		for i := range p.marks {
			b.mark(&p.marks[i])
		}
		b.end()
		b.unclip()
		b.flush()
	}
	var b bytes.Buffer
	if err := doc.Output(&b); err != nil {
		return err
	}
	file := b.Bytes()
	if at := bytes.LastIndex(file, []byte(made)); at >= 0 && about.Date.IsZero() {
		// Dates may be left out (ISO 32000-1, 14.3.3).
		copy(file[at:], bytes.Repeat([]byte(" "), len(made)))
	}
	_, err := w.Write(packed(file))
	return err
}

// perMM is how many points, the unit of a PDF, a millimetre has.
const perMM = 72 / 25.4

// pdf writes shapes in the operators of ISO 32000-1 (8.5), those of the same
// style as one path. Texts go through fpdf, which cuts the fonts down.
type pdf struct {
	doc     *fpdf.Fpdf
	height  float64
	buf     bytes.Buffer
	number  []byte
	style   Style
	open    bool
	clipped bool
}

// at writes a point, which in a PDF counts from the bottom.
func (b *pdf) at(x, y float64) *pdf { return b.num(x).num(b.height - y) }

// num writes a length in points, to a hundredth: 0.004 mm.
func (b *pdf) num(mm float64) *pdf {
	b.number = append(appendLength(b.number[:0], mm*perMM), ' ')
	b.buf.Write(b.number)
	return b
}

func (b *pdf) op(s string) *pdf {
	b.buf.WriteString(s)
	b.buf.WriteByte('\n')
	return b
}

func (b *pdf) mark(m *mark) {
	switch m.kind {
	case rect:
		b.begin(m.style).at(m.x, m.y+m.h).num(m.w).num(m.h).op("re")
	case line:
		b.begin(m.style).at(m.x, m.y).op("m").at(m.w, m.h).op("l")
	case path:
		b.begin(m.style)
		for i, p := range m.points {
			b.at(p.X, p.Y).op([...]string{"m", "l"}[min(i, 1)])
		}
		if m.style.Fill != None {
			b.op("h")
		}
	case text:
		b.end()
		b.flush()
		b.text(m)
	case clip:
		b.end()
		b.unclip()
		b.op("q").at(m.x, m.y+m.h).num(m.w).num(m.h).op("re W n")
		b.clipped = true
	case unclip:
		b.end()
		b.unclip()
	}
}

func (b *pdf) unclip() {
	if b.clipped {
		b.op("Q").clipped = false
	}
}

// begin begins a path, or goes on with one of the same style. It keeps its
// state to itself, so that fpdf's stays what fpdf thinks that it is.
func (b *pdf) begin(s Style) *pdf {
	if b.open && b.style == s {
		return b
	}
	b.end()
	b.style, b.open = s, true
	b.buf.WriteString("q ")
	if s.Fill != None {
		b.colour(s.Fill, "rg")
	}
	if s.Stroke != None {
		b.colour(s.Stroke, "RG")
		b.num(s.width()).op("w")
	}
	if s.Dash > 0 {
		b.buf.WriteString("[")
		b.num(s.Dash).op("] 0 d")
	}
	return b
}

func (b *pdf) colour(i Ink, operator string) {
	c := colours[i]
	for _, v := range []uint8{c.r, c.g, c.b} {
		b.number = strconv.AppendFloat(b.number[:0], math.Round(float64(v)/255*1000)/1000, 'f', -1, 64)
		b.buf.Write(b.number)
		b.buf.WriteByte(' ')
	}
	b.op(operator)
}

func (b *pdf) end() {
	if !b.open {
		return
	}
	b.open = false
	switch {
	case b.style.Fill != None && b.style.Stroke != None:
		b.op("B Q")
	case b.style.Fill != None:
		b.op("f Q")
	case b.style.Stroke != None:
		b.op("S Q")
	default:
		b.op("n Q")
	}
}

// flush hands what was written to the page.
func (b *pdf) flush() {
	if b.buf.Len() > 0 {
		b.doc.RawWriteStr(b.buf.String())
		b.buf.Reset()
	}
}

func (b *pdf) text(m *mark) {
	t := &m.kindOf
	style := ""
	if t.Bold {
		style = "B"
	}
	b.doc.SetFont(family, style, t.Size*perMM)
	c := colours[t.Ink]
	b.doc.SetTextColor(int(c.r), int(c.g), int(c.b))
	x, y := m.start()
	if t.Turned {
		b.doc.TransformBegin()
		b.doc.TransformRotate(90, x, y)
		defer b.doc.TransformEnd()
	}
	b.doc.Text(x, y, m.text)
}
