package draw

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/color"
	"image/png"
	"io"
	"math"
	"slices"
	"sync"

	"golang.org/x/image/font"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
	"golang.org/x/image/vector"
)

// PNG writes a picture with so many dots to the millimetre, in the inks and
// mixtures of two of them; the colours of cables do not mix. Its title and what it is about are in the file, as its
// texts "Title" and "Description". Letters that the font lacks are refused, by a [LettersError].
func PNG(w io.Writer, p *Picture, dots float64) error {
	if err := legible(p); err != nil {
		return err
	}
	b := newRaster(p, dots)
	for i := range p.marks {
		b.mark(&p.marks[i])
	}
	var file bytes.Buffer
	e := png.Encoder{CompressionLevel: png.BestSpeed}
	if err := e.Encode(&file, b.img); err != nil {
		return err
	}
	data := file.Bytes()
	_, err := w.Write(slices.Concat(data[:pngHead], textChunk("Title", p.Title), textChunk("Description", p.About), data[pngHead:]))
	return err
}

// pngHead is how long what comes first in a PNG is: the signature and the chunk
// IHDR (PNG, third edition, 5.2 and 11.2.1; from memory).
const pngHead = 8 + 4 + 4 + 13 + 4

// textChunk is an iTXt chunk, or nothing without a text: keyword, 0, not compressed, no language, no
// translated keyword, and the text in UTF-8 (PNG, third edition, 5.3 and 11.3.3.4;
// from memory).
func textChunk(keyword, text string) []byte {
	if text == "" {
		return nil
	}
	body := "iTXt" + keyword + "\x00" + "\x00\x00" + "\x00" + "\x00" + Clean(text)
	b := binary.BigEndian.AppendUint32(nil, uint32(len(body)-4))
	b = append(b, body...)
	return binary.BigEndian.AppendUint32(b, crc32.ChecksumIEEE([]byte(body)))
}

// steps is how finely two inks mix: the finest with which a palette has room for all.
const steps = 7

// mixtures are the colours of a PNG: the inks, then what lies between any two of
// them.
type mixtures struct {
	palette color.Palette
	between [numMixed][numMixed]uint8 // the first of steps−1 mixtures from the lower to the higher ink
	parts   [256]struct{ low, high, level uint8 }
}

var palette = sync.OnceValue(func() *mixtures {
	m := &mixtures{}
	add := func(low, high Ink, level int) {
		a, b := colours[low], colours[high]
		blend := func(x, y uint8) uint8 { return uint8((int(x)*(steps-level) + int(y)*level + steps/2) / steps) }
		m.parts[len(m.palette)] = struct{ low, high, level uint8 }{uint8(low), uint8(high), uint8(level)}
		m.palette = append(m.palette, color.RGBA{blend(a.r, b.r), blend(a.g, b.g), blend(a.b, b.b), 255})
	}
	for i := range Ink(numInks) {
		add(max(i, Paper), max(i, Paper), 0) // None has a place and no use
	}
	for low := Paper; low < numMixed; low++ {
		for high := low + 1; high < numMixed; high++ {
			m.between[low][high] = uint8(len(m.palette))
			for level := 1; level < steps; level++ {
				add(low, high, level)
			}
		}
	}
	return m
})

// over returns what an ink makes of a colour that it covers in part, up to 255.
// Over a mixture it counts the nearer ink as the ground, unless it is itself in
// the mixture.
func (m *mixtures) over(ground uint8, ink Ink, cover uint32) uint8 {
	level := int(cover*steps+127) / 255
	if level == 0 {
		return ground
	}
	if level >= steps {
		return uint8(ink)
	}
	at := m.parts[ground]
	low, high := Ink(at.low), Ink(at.high)
	switch {
	case int(ground) < numInks:
		return m.mix(Ink(ground), ink, level)
	case ink == high:
		return m.mix(low, high, int(at.level)+(steps-int(at.level))*level/steps)
	case ink == low:
		return m.mix(high, low, steps-int(at.level)+int(at.level)*level/steps)
	case at.level > steps/2:
		return m.mix(high, ink, level)
	}
	return m.mix(low, ink, level)
}

// mix is a ground with some steps of an ink over it.
func (m *mixtures) mix(ground, ink Ink, level int) uint8 {
	switch {
	case ground == ink || level >= steps:
		return uint8(ink)
	case level <= 0, max(ground, ink) >= numMixed && level < steps/2:
		return uint8(ground)
	case max(ground, ink) >= numMixed:
		return uint8(ink)
	case ground < ink:
		return m.between[ground][ink] + uint8(level-1)
	}
	return m.between[ink][ground] + uint8(steps-level-1)
}

// raster draws on dots.
type raster struct {
	img    *image.Paletted
	mix    *mixtures
	dots   float64
	clip   image.Rectangle
	shape  vector.Rasterizer
	cover  image.Alpha
	glyphs map[glyphKey]glyph
	sets   map[glyphKey]font.Face
}

type glyphKey struct {
	bold bool
	size float64 // in dots
	sign rune    // 0 for a whole face
}

type glyph struct {
	mask *image.Alpha
	at   image.Point // of the mask against the pen
}

func newRaster(p *Picture, dots float64) *raster {
	b := &raster{mix: palette(), dots: dots, glyphs: map[glyphKey]glyph{}, sets: map[glyphKey]font.Face{}}
	size := image.Rect(0, 0, max(1, b.round(p.Width)), max(1, b.round(p.Height)))
	b.img = image.NewPaletted(size, b.mix.palette)
	for i := range b.img.Pix {
		b.img.Pix[i] = uint8(Paper)
	}
	b.clip = size
	return b
}

func (b *raster) round(mm float64) int { return int(math.Round(mm * b.dots)) }

func (b *raster) mark(m *mark) {
	switch m.kind {
	case rect:
		b.rect(m)
	case line:
		b.stroke(m.style, Point{m.x, m.y}, Point{m.w, m.h})
	case path:
		b.path(m)
	case text:
		b.text(m)
	case clip:
		b.clip = image.Rect(b.round(m.x), b.round(m.y), b.round(m.x+m.w), b.round(m.y+m.h)).Intersect(b.img.Rect)
	case unclip:
		b.clip = b.img.Rect
	}
}

func (b *raster) rect(m *mark) {
	x0, y0, x1, y1 := m.x, m.y, m.x+m.w, m.y+m.h
	if m.style.Fill != None {
		b.fill(x0, y0, x1, y1, m.style.Fill)
	}
	if m.style.Stroke != None {
		corners := []Point{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}, {x0, y0}}
		for i := range 4 {
			b.stroke(m.style, corners[i], corners[i+1])
		}
	}
}

// fill paints whole dots, at least one each way.
func (b *raster) fill(x0, y0, x1, y1 float64, ink Ink) {
	r := image.Rect(b.round(x0), b.round(y0), b.round(x1), b.round(y1))
	r.Max.X, r.Max.Y = max(r.Max.X, r.Min.X+1), max(r.Max.Y, r.Min.Y+1)
	r = r.Intersect(b.clip)
	for y := r.Min.Y; y < r.Max.Y; y++ {
		row := b.img.Pix[b.img.PixOffset(r.Min.X, y):b.img.PixOffset(r.Max.X, y)]
		for i := range row {
			row[i] = uint8(ink)
		}
	}
}

// stroke draws a line. Upright and level ones are whole dots.
func (b *raster) stroke(s Style, from, to Point) {
	if s.Stroke == None {
		return
	}
	if s.Dash > 0 {
		solid := s
		solid.Dash = 0
		dashes(from, to, s.Dash, func(x, y Point) { b.stroke(solid, x, y) })
		return
	}
	half := max(s.width(), 1/b.dots) / 2
	if from.X == to.X || from.Y == to.Y {
		b.bar(min(from.X, to.X), min(from.Y, to.Y), max(from.X, to.X), max(from.Y, to.Y), half, s.Stroke)
		return
	}
	dx, dy := to.X-from.X, to.Y-from.Y
	k := half / math.Hypot(dx, dy)
	nx, ny := -dy*k, dx*k
	b.polygon([]Point{{from.X + nx, from.Y + ny}, {to.X + nx, to.Y + ny}, {to.X - nx, to.Y - ny}, {from.X - nx, from.Y - ny}}, s.Stroke)
}

// bar fills an upright or level line, as many dots wide wherever it stands.
func (b *raster) bar(x0, y0, x1, y1, half float64, ink Ink) {
	wide := max(1, b.round(2*half))
	if x0 == x1 {
		x := float64(int(math.Floor((x0-half)*b.dots + 0.5)))
		b.fill(x/b.dots, y0, (x+float64(wide))/b.dots, y1, ink)
		return
	}
	y := float64(int(math.Floor((y0-half)*b.dots + 0.5)))
	b.fill(x0, y/b.dots, x1, (y+float64(wide))/b.dots, ink)
}

// dashes calls draw for each dash of a line.
func dashes(from, to Point, length float64, draw func(x, y Point)) {
	whole := math.Hypot(to.X-from.X, to.Y-from.Y)
	at := func(d float64) Point {
		k := min(d, whole) / whole
		return Point{from.X + (to.X-from.X)*k, from.Y + (to.Y-from.Y)*k}
	}
	for d := 0.0; d < whole; d += 2 * length {
		draw(at(d), at(d+length))
	}
}

func (b *raster) path(m *mark) {
	if m.style.Fill != None {
		b.polygon(m.points, m.style.Fill)
	}
	for i := 1; i < len(m.points) && m.style.Stroke != None; i++ {
		b.stroke(m.style, m.points[i-1], m.points[i])
	}
}

// polygon fills what points enclose, with soft edges.
func (b *raster) polygon(points []Point, ink Ink) {
	low, high := points[0], points[0]
	for _, p := range points {
		low.X, low.Y = min(low.X, p.X), min(low.Y, p.Y)
		high.X, high.Y = max(high.X, p.X), max(high.Y, p.Y)
	}
	box := image.Rect(int(math.Floor(low.X*b.dots)), int(math.Floor(low.Y*b.dots)),
		int(math.Ceil(high.X*b.dots)), int(math.Ceil(high.Y*b.dots)))
	if box.Intersect(b.clip).Empty() {
		return
	}
	ox, oy := float64(box.Min.X), float64(box.Min.Y)
	b.shape.Reset(box.Dx(), box.Dy())
	for i, p := range points {
		x, y := float32(p.X*b.dots-ox), float32(p.Y*b.dots-oy)
		if i == 0 {
			b.shape.MoveTo(x, y)
		} else {
			b.shape.LineTo(x, y)
		}
	}
	b.shape.ClosePath()
	if n := box.Dx() * box.Dy(); cap(b.cover.Pix) < n {
		b.cover.Pix = make([]uint8, n)
	} else {
		b.cover.Pix = b.cover.Pix[:n]
	}
	b.cover.Stride, b.cover.Rect = box.Dx(), image.Rect(0, 0, box.Dx(), box.Dy())
	clear(b.cover.Pix)
	b.shape.Draw(&b.cover, b.cover.Rect, image.Opaque, image.Point{})
	b.blend(&b.cover, box.Min, ink)
}

// blend lays ink over the picture where a mask covers it.
func (b *raster) blend(mask *image.Alpha, at image.Point, ink Ink) {
	r := mask.Rect.Add(at).Intersect(b.clip)
	for y := r.Min.Y; y < r.Max.Y; y++ {
		row := b.img.Pix[b.img.PixOffset(r.Min.X, y):]
		from := mask.Pix[mask.PixOffset(r.Min.X-at.X, y-at.Y):]
		for x := range r.Dx() {
			if c := from[x]; c != 0 {
				row[x] = b.mix.over(row[x], ink, uint32(c))
			}
		}
	}
}

func (b *raster) text(m *mark) {
	t := &m.kindOf
	x, y := m.start()
	f := faceOf(t.Bold)
	key := glyphKey{bold: t.Bold, size: t.Size * b.dots}
	for _, r := range m.text {
		key.sign = r
		g := b.glyph(key)
		if g.mask != nil && !t.Turned {
			b.blend(g.mask, image.Pt(b.round(x), b.round(y)).Add(g.at), t.Ink)
		} else if g.mask != nil {
			b.blend(turn(g.mask), image.Pt(b.round(x)+g.at.Y, b.round(y)-g.at.X-g.mask.Rect.Dx()), t.Ink)
		}
		width, _ := f.width(r)
		advance := float64(width) * t.Size / 1000
		if t.Turned {
			y -= advance
		} else {
			x += advance
		}
	}
}

// glyph returns the shape of a sign.
func (b *raster) glyph(k glyphKey) glyph {
	if g, ok := b.glyphs[k]; ok {
		return g
	}
	set := k
	set.sign = 0
	face, ok := b.sets[set]
	if !ok {
		var err error
		face, err = opentype.NewFace(faceOf(k.bold).parsed, &opentype.FaceOptions{Size: k.size, DPI: 72, Hinting: font.HintingNone})
		if err != nil {
			panic("the built-in font is faulty: " + err.Error())
		}
		b.sets[set] = face
	}
	g := glyph{}
	if r, mask, from, _, ok := face.Glyph(fixed.Point26_6{}, k.sign); ok && !r.Empty() {
		own := image.NewAlpha(image.Rect(0, 0, r.Dx(), r.Dy()))
		a := mask.(*image.Alpha)
		for y := range r.Dy() {
			copy(own.Pix[y*own.Stride:][:r.Dx()], a.Pix[a.PixOffset(from.X, from.Y+y):])
		}
		g = glyph{own, r.Min}
	}
	b.glyphs[k] = g
	return g
}

// turn turns a mask a quarter to the left.
func turn(m *image.Alpha) *image.Alpha {
	w, h := m.Rect.Dx(), m.Rect.Dy()
	out := image.NewAlpha(image.Rect(0, 0, h, w))
	for y := range h {
		for x := range w {
			out.Pix[(w-1-x)*out.Stride+y] = m.Pix[y*m.Stride+x]
		}
	}
	return out
}
