package paper

import (
	"cmp"

	"choirloft/cmd/choirloft/internal/draw"
)

// piece is what is never broken over columns: a record, a title, a drawing.
type piece struct {
	height  float64
	gap     float64 // above it, but not at the top of a column
	keep    bool    // stands in the column of what follows
	again   []piece // what stands above it at the top of a column: heads
	section string  // its name, for viewers; empty for none
	level   int     // of the section: 0, or 1 for a part of one
	draws   func(p *draw.Picture, x, y float64)
}

// band is pieces that are set in so many columns on a page that stands: 1, 2 or 3.
type band struct {
	columns int
	pieces  []piece
}

// columnGap is between two columns, and bandGap between bands.
const columnGap, bandGap = 5.0, 3.4

// column is the width of one of so many columns on a page that stands. On one that lies there
// are as many as it has room for, but two are three.
func (o Options) column(columns int) float64 {
	w, h := o.size()
	width := (w - 2*margin - columnGap*float64(columns-1)) / float64(columns)
	if columns == 2 {
		width = min(width, (h-2*edge-2*columnGap)/3)
	}
	return width
}

// measure is how wide the pieces are that are being made.
func (f *flow) measure() float64 { return f.o.column(f.cols) }

// set adds pieces to those that are yet to be put on pages.
func (f *flow) set(pieces ...piece) {
	if n := len(f.galley); n == 0 || f.galley[n-1].columns != f.cols {
		f.galley = append(f.galley, band{columns: f.cols})
	}
	last := &f.galley[len(f.galley)-1]
	last.pieces = append(last.pieces, pieces...)
}

// lefts are the left ends of columns on the present page.
func (f *flow) lefts(columns int) []float64 {
	p, width, left := f.on(), f.o.column(columns), margin
	if p.Width > p.Height {
		left = edge
		columns = int((p.Width - 2*left + columnGap + 0.01) / (width + columnGap))
	}
	lefts := make([]float64, columns)
	for i := range lefts {
		lefts[i] = left
		if columns > 1 {
			lefts[i] += (p.Width - 2*left - width) / float64(columns-1) * float64(i)
		}
	}
	return lefts
}

// scraps is the least height in which anything is begun below what else is on a page.
const scraps = 24.0

// pour puts the pieces that were set on pages, band by band.
func (f *flow) pour() {
	bands := f.galley
	f.galley = nil
	if f.own && f.y > f.top() && !f.holds(bands) {
		f.over()
	}
	f.own = false
	for i := range bands {
		f.pourBand(bands[i].pieces, bands[i].columns)
	}
}

// holds tells whether the rest of the page holds bands whole.
func (f *flow) holds(bands []band) bool {
	room := f.bottom() - f.y
	for i := range bands {
		height, all := even(bands[i].pieces, len(f.lefts(bands[i].columns)), room-bandGap)
		if !all {
			return false
		}
		room -= height + bandGap
	}
	return true
}

// pourBand puts pieces on pages, column by column. The last ones are as high as each other.
func (f *flow) pourBand(list []piece, columns int) {
	for len(list) > 0 {
		begun := f.y > f.top()
		if begun {
			f.y += bandGap
		}
		lefts, room := f.lefts(columns), f.bottom()-f.y
		height, all := even(list, len(lefts), room)
		if begun && !all && (room < scraps || room < 1.4*scraps && f.edged[len(f.edged)-1] || fits(list, room) == 0) {
			f.over()
			continue
		}
		if all {
			room = height
		}
		top := f.y
		for i, x := range lefts {
			if all { // what is left is as high in the columns that are left
				room, _ = even(list, len(lefts)-i, room)
			}
			n := fits(list, room)
			if n == 0 && len(list) > 0 && !begun && i == 0 {
				n = 1 // higher than a page
			}
			f.y = max(f.y, f.place(list[:n], x, top))
			list = list[n:]
		}
		if len(list) > 0 {
			f.over()
		}
	}
}

// over begins another page for columns: one that stands.
func (f *flow) over() {
	title := f.titles[len(f.titles)-1]
	if f.edged[len(f.edged)-1] || f.own {
		title = ""
	}
	bands := f.galley
	f.galley = nil
	f.page(title, false)
	f.galley = bands
}

// dropHeading takes back a heading below which nothing was set, for what has it in its own
// title, and returns it.
func (f *flow) dropHeading() string {
	n := len(f.galley)
	if n == 0 {
		return ""
	}
	last := &f.galley[n-1]
	end := len(last.pieces) - 1
	text := last.pieces[end].section
	if text != "" {
		if last.pieces = last.pieces[:end]; end == 0 {
			f.galley = f.galley[:n-1]
		}
	}
	return text
}

// place draws pieces below each other and returns where they end.
func (f *flow) place(list []piece, x, y float64) float64 {
	p := f.on()
	for i := range list {
		one := &list[i]
		if i > 0 {
			y += one.gap
		} else {
			y = f.place(one.again, x, y)
		}
		if one.section != "" {
			p.Section(one.level, y, one.section)
			f.sections = append(f.sections, sectionAt{one.section, one.level, len(f.pages)})
		}
		if one.draws != nil {
			one.draws(p, x, y)
		}
		y += one.height
	}
	return y
}

// fits is how many pieces a column of a height holds, and that may end one.
func fits(list []piece, height float64) (n int) {
	y := 0.0
	for i := range list {
		one := &list[i]
		if i > 0 {
			y += one.gap
		} else {
			y = heightOf(one.again)
		}
		if y += one.height; y > height+1e-6 {
			return n
		}
		if !one.keep {
			n = i + 1
		}
	}
	return len(list)
}

func heightOf(list []piece) (sum float64) {
	for i := range list {
		sum += list[i].height
	}
	return sum
}

// even is the least height of so many columns that hold all pieces; false where one of
// the height that there is holds them not.
func even(list []piece, columns int, most float64) (height float64, all bool) {
	hold := func(height float64) bool {
		rest := list
		for range columns {
			rest = rest[fits(rest, height):]
		}
		return len(rest) == 0
	}
	if !hold(most) {
		return 0, false
	}
	low, high := 0.0, most
	for high-low > 0.5 {
		if half := (low + high) / 2; hold(half) {
			high = half
		} else {
			low = half
		}
	}
	return high, true
}

// inset sets pictures; by themselves they are drawn on the page.
func (f *flow) inset(pictures ...*draw.Picture) {
	for _, picture := range pictures {
		if f.bare {
			f.on().Title, f.on().About = cmp.Or(picture.Title, f.on().Title), f.on().About+picture.About
			f.on().Place(f.left(), f.y, picture)
			f.y += picture.Height
			continue
		}
		f.set(piece{height: picture.Height, gap: 2, draws: func(p *draw.Picture, x, y float64) { p.Place(x, y, picture) }})
	}
}

// whole draws what is as wide as a page that stands, below what was set, with a key to what
// is short for something.
func (f *flow) whole(k *keys, draws func(*flow)) {
	f.pour()
	if !f.bare && f.edged[len(f.edged)-1] {
		f.over()
	}
	f.gap(2)
	f.keyed(k, draws)
}

// keepLast keeps what was set last with what follows.
func (f *flow) keepLast() {
	if len(f.galley) == 0 {
		return
	}
	last := f.galley[len(f.galley)-1].pieces
	last[len(last)-1].keep = true
}
