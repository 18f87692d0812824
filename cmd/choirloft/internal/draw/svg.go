package draw

import (
	"html"
	"io"
	"math"
	"strconv"
)

// SVG writes a picture as a document of its own. Texts carry their widths, so
// that another font runs no farther.
func SVG(w io.Writer, p *Picture) error {
	_, err := w.Write(AppendSVG(nil, p))
	return err
}

// AppendSVG appends a picture as an svg element, as a page embeds it.
func AppendSVG(dst []byte, p *Picture) []byte {
	b := svg{dst: dst}
	b.raw(`<svg xmlns="http://www.w3.org/2000/svg" width="`).num(p.Width).raw(`mm" height="`).num(p.Height).
		raw(`mm" viewBox="0 0 `).num(p.Width).raw(" ").num(p.Height).
		raw(`" role="img" font-family="'DejaVu Sans Condensed','DejaVu Sans',sans-serif" font-stretch="condensed">` + "\n")
	if p.Title != "" {
		b.raw("<title>" + html.EscapeString(Clean(p.Title)) + "</title>\n")
	}
	if p.About != "" {
		b.raw("<desc>" + html.EscapeString(Clean(p.About)) + "</desc>\n")
	}
	b.raw(`<rect width="100%" height="100%" fill="` + hex[Paper] + `"/>` + "\n")
	for i := range p.marks {
		b.mark(&p.marks[i])
	}
	b.end()
	if b.clipped {
		b.raw("</svg>\n")
	}
	return append(b.dst, "</svg>\n"...)
}

// svg gathers shapes of the same style into one path.
type svg struct {
	dst     []byte
	style   Style
	open    bool // a path of that style
	clipped bool
}

func (b *svg) raw(s string) *svg {
	b.dst = append(b.dst, s...)
	return b
}

// num writes a length, to 0.01 mm.
func (b *svg) num(v float64) *svg {
	b.dst = appendLength(b.dst, v)
	return b
}

// appendLength writes a length to a hundredth, without zeros at the end.
func appendLength(dst []byte, v float64) []byte {
	n := int64(math.Round(v * 100))
	if n < 0 {
		dst, n = append(dst, '-'), -n
	}
	dst = strconv.AppendInt(dst, n/100, 10)
	if n %= 100; n == 0 {
		return dst
	}
	dst = append(dst, '.', byte('0'+n/10))
	if n%10 != 0 {
		dst = append(dst, byte('0'+n%10))
	}
	return dst
}

func (b *svg) mark(m *mark) {
	switch m.kind {
	case rect:
		b.begin(m.style).raw("M").num(m.x).raw(" ").num(m.y).raw("h").num(m.w).raw("v").num(m.h).raw("h").num(-m.w).raw("z")
	case line:
		b.begin(m.style).raw("M").num(m.x).raw(" ").num(m.y).raw("L").num(m.w).raw(" ").num(m.h)
	case path:
		b.begin(m.style)
		for i, at := range m.points {
			b.raw([...]string{"M", "L"}[min(i, 1)]).num(at.X).raw(" ").num(at.Y)
		}
		if m.style.Fill != None {
			b.raw("z")
		}
	case text:
		b.end().text(m)
	case clip:
		b.end().clip(m)
	case unclip:
		b.end()
		if b.clipped {
			b.raw("</svg>\n").clipped = false
		}
	}
}

// begin begins a path, or goes on with one of the same style.
func (b *svg) begin(s Style) *svg {
	if b.open && b.style == s {
		return b
	}
	b.end()
	b.style, b.open = s, true
	b.raw(`<path`)
	if s.Fill == None {
		b.raw(` fill="none"`)
	} else {
		b.raw(` fill="` + hex[s.Fill] + `"`)
	}
	if s.Stroke != None {
		b.raw(` stroke="` + hex[s.Stroke] + `" stroke-width="`).num(s.width()).raw(`"`)
	}
	if s.Dash > 0 {
		b.raw(` stroke-dasharray="`).num(s.Dash).raw(`"`)
	}
	return b.raw(` d="`)
}

func (b *svg) end() *svg {
	if b.open {
		b.raw("\"/>\n").open = false
	}
	return b
}

func (b *svg) text(m *mark) {
	t := &m.kindOf
	x, y := m.start()
	b.raw(`<text x="`).num(x).raw(`" y="`).num(y).raw(`" font-size="`).num(t.Size).raw(`" textLength="`).num(m.w).
		raw(`" lengthAdjust="spacingAndGlyphs"`)
	if t.Bold {
		b.raw(` font-weight="bold"`)
	}
	if t.Ink != Black {
		b.raw(` fill="` + hex[t.Ink] + `"`)
	}
	if t.Turned {
		b.raw(` transform="rotate(-90 `).num(x).raw(" ").num(y).raw(`)"`)
	}
	b.raw(">" + html.EscapeString(m.text) + "</text>\n")
}

// clip hides by an inner viewport, which needs no name that might be taken on a
// page.
func (b *svg) clip(m *mark) {
	if b.clipped {
		b.raw("</svg>\n")
	}
	b.clipped = true
	b.raw(`<svg x="`).num(m.x).raw(`" y="`).num(m.y).raw(`" width="`).num(m.w).raw(`" height="`).num(m.h).
		raw(`" viewBox="`).num(m.x).raw(" ").num(m.y).raw(" ").num(m.w).raw(" ").num(m.h).raw("\">\n")
}
