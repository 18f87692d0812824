package draw

import (
	"fmt"
	"io"
	"math"
	"strconv"
	"time"
	"unicode/utf16"
)

// About is what a PDF says of itself.
type About struct {
	Title string
	Date  time.Time // zero for none: then the file says none
}

// PDF writes pictures as the pages of a document, each of its own size, and their
// sections as its outline. It says its title and its language; it has no tags. The font is
// embedded, as far as it is used; letters that it lacks are refused, by a [LettersError].
func PDF(w io.Writer, about About, pages ...*Picture) error {
	if err := legible(pages...); err != nil {
		return err
	}
	f := newPDFFile()
	catalog, tree, info := f.reserve(), f.reserve(), f.reserve()
	said := "/Title " + textString(Clean(about.Title)) + " /Creator " + textString("choirloft")
	if !about.Date.IsZero() { // dates may be left out (ISO 32000-1, 14.3.3)
		date := about.Date.Format("(D:20060102150405)")
		said += " /CreationDate " + date + " /ModDate " + date
	}
	f.object(info, "<<"+said+">>")
	fonts := cutFonts(pages)
	resources := ""
	for i := range fonts {
		if len(fonts[i].letters) > 0 {
			resources += fmt.Sprintf(" /F%d %d 0 R", i, fonts[i].write(f))
		}
	}
	b := pdf{fonts: fonts}
	kids, numbers := "", make([]int, len(pages))
	for i, p := range pages {
		page, content := f.reserve(), f.reserve()
		numbers[i] = page
		kids += fmt.Sprintf(" %d 0 R", page)
		f.object(page, fmt.Sprintf("<</Type /Page /Parent %d 0 R /MediaBox [0 0 %s %s] /Contents %d 0 R>>", tree, points(p.Width), points(p.Height), content))
		f.stream(content, "", b.page(p))
	}
	// What pages do not say for themselves they have from their tree (7.7.3.4).
	f.object(tree, fmt.Sprintf("<</Type /Pages /Count %d /Kids [%s] /Resources <</Font <<%s>>>>>>", len(pages), kids, resources))
	outline := ""
	if n := f.outline(pages, numbers); n > 0 {
		outline = fmt.Sprintf(" /Outlines %d 0 R /PageMode /UseOutlines", n)
	}
	f.object(catalog, fmt.Sprintf("<</Type /Catalog /Pages %d 0 R /Lang (en)%s>>", tree, outline))
	_, err := w.Write(f.finish(catalog, info))
	return err
}

// points is a length as a PDF has it, to a hundredth of a point.
func points(mm float64) string { return string(appendLength(nil, mm*perMM)) }

// textString is a text outside of pages: UTF-16 behind its mark, in hexadecimal (7.9.2.2).
func textString(s string) string {
	text := []byte("<feff")
	for _, u := range utf16.Encode([]rune(s)) {
		text = fmt.Appendf(text, "%04x", u)
	}
	return string(append(text, '>'))
}

// perMM is how many points, the unit of a PDF, a millimetre has.
const perMM = 72 / 25.4

// pdf writes shapes in the operators of ISO 32000-1 (8.5), those of the same
// style as one path.
type pdf struct {
	fonts   [2]*cutFont
	height  float64
	buf     []byte
	style   Style
	open    bool
	clipped bool
}

// page is what draws a picture, until the next is asked for.
func (b *pdf) page(p *Picture) []byte {
	b.height, b.buf = p.Height, b.buf[:0]
	for i := range p.marks {
		b.mark(&p.marks[i])
	}
	b.end()
	b.unclip()
	return b.buf
}

// at writes a point, which in a PDF counts from the bottom.
func (b *pdf) at(x, y float64) *pdf { return b.num(x).num(b.height - y) }

// num writes a length in points, to a hundredth: 0.004 mm.
func (b *pdf) num(mm float64) *pdf {
	b.buf = append(appendLength(b.buf, mm*perMM), ' ')
	return b
}

func (b *pdf) op(s string) *pdf {
	b.buf = append(append(b.buf, s...), '\n')
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

// begin begins a path, or goes on with one of the same style. It keeps its state to itself.
func (b *pdf) begin(s Style) *pdf {
	if b.open && b.style == s {
		return b
	}
	b.end()
	b.style, b.open = s, true
	b.buf = append(b.buf, "q "...)
	if s.Fill != None {
		b.colour(s.Fill, "rg")
	}
	if s.Stroke != None {
		b.colour(s.Stroke, "RG")
		b.num(s.width()).op("w")
	}
	if s.Dash > 0 {
		b.buf = append(b.buf, '[')
		b.num(s.Dash).op("] 0 d")
	}
	return b
}

func (b *pdf) colour(i Ink, operator string) *pdf {
	c := colours[i]
	for _, v := range []uint8{c.r, c.g, c.b} {
		b.buf = append(strconv.AppendFloat(b.buf, math.Round(float64(v)/255*1000)/1000, 'f', -1, 64), ' ')
	}
	return b.op(operator)
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

// text writes a text at its place, turned or not (9.4.2), by the codes that its font has for letters.
func (b *pdf) text(m *mark) {
	t, face := &m.kindOf, 0
	if t.Bold {
		face = 1
	}
	b.buf = fmt.Appendf(b.buf, "BT /F%d ", face)
	b.num(t.Size).op("Tf").colour(t.Ink, "rg")
	x, y := m.start()
	if t.Turned {
		b.buf = append(b.buf, "0 1 -1 0 "...)
		b.at(x, y).op("Tm")
	} else {
		b.at(x, y).op("Td")
	}
	b.buf = append(b.buf, '<')
	for _, r := range m.text {
		code := b.fonts[face].codes[r]
		for shift := 12; shift >= 0; shift -= 4 {
			b.buf = append(b.buf, "0123456789abcdef"[code>>shift&15])
		}
	}
	b.op("> Tj ET")
}
