package paper

import (
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/cmd/choirloft/internal/draw"
)

// row is the height of a table's row, in mm.
const row = 4.9

// padding is between two columns, in mm.
const padding = 1.8

// table lays a table out over the width of the page. Its head and the title of
// the group are repeated on every page.
func (f *flow) table(t doc.Table) {
	if len(t.Groups) == 0 {
		return
	}
	widths := f.columns(&t)
	f.gap(2)
	f.need(4 * row)
	f.tableHead(&t, widths)
	for i := range t.Groups {
		g := &t.Groups[i]
		if i > 0 && f.need(3*row) {
			f.tableHead(&t, widths)
		}
		f.groupTitle(g.Title, total(widths))
		for _, cells := range g.Rows {
			if f.need(row) {
				f.tableHead(&t, widths)
				f.groupTitle(g.Title, total(widths))
			}
			f.tableRow(&t, widths, cells, draw.Type{Size: cell})
			f.on().Line(f.left(), f.y, f.left()+total(widths), f.y, draw.Stroke(draw.Light, 0.15))
		}
	}
}

func (f *flow) groupTitle(title string, width float64) {
	if title == "" {
		return
	}
	kind := draw.Type{Size: cell, Bold: true}
	width = min(f.width(), max(width, draw.Width(title, kind)))
	f.on().Rect(f.left()-1, f.y+0.3, width+2, row-0.3, draw.Fill(draw.Faint))
	f.on().Text(f.left(), f.y+row*0.72, draw.Fit(title, width, kind), kind)
	f.y += row
}

func (f *flow) tableHead(t *doc.Table, widths []float64) {
	heads := make([]string, len(t.Columns))
	for i := range heads {
		heads[i] = t.Columns[i].Head
	}
	f.tableRow(t, widths, heads, draw.Type{Size: small, Ink: draw.Dark})
	f.on().Line(f.left(), f.y, f.left()+total(widths), f.y, draw.Stroke(draw.Black, 0.3))
}

func (f *flow) tableRow(t *doc.Table, widths []float64, cells []string, kind draw.Type) {
	x := f.left()
	for i, text := range cells {
		text = draw.FitName(text, widths[i]-padding, kind)
		if t.Columns[i].Right {
			k := kind
			k.Align = draw.End
			f.on().Text(x+widths[i]-padding, f.y+row*0.7, text, k)
		} else {
			f.on().Text(x, f.y+row*0.7, text, kind)
		}
		x += widths[i]
	}
	f.y += row
}

func total(widths []float64) float64 {
	sum := -padding
	for _, w := range widths {
		sum += w
	}
	return sum
}

// columns are the widths of columns: as wide as their widest cell, and where
// that is too much in all, the widest are cut to one width.
func (f *flow) columns(t *doc.Table) []float64 {
	widths := make([]float64, len(t.Columns))
	for i, c := range t.Columns {
		widths[i] = draw.Width(c.Head, draw.Type{Size: small})
	}
	for _, g := range t.Groups {
		for _, cells := range g.Rows {
			for i, text := range cells {
				widths[i] = max(widths[i], draw.Width(text, draw.Type{Size: cell}))
			}
		}
	}
	for i := range widths {
		widths[i] += padding + 0.01
	}
	level(widths, f.width()+padding)
	return widths
}

// level cuts the largest values to one, so that the sum is no more than a limit;
// where there is room left it is shared.
func level(widths []float64, limit float64) {
	sum := 0.0
	for _, w := range widths {
		sum += w
	}
	if sum <= limit {
		spread := min((limit-sum)/float64(len(widths)), 6)
		for i := range widths {
			widths[i] += spread
		}
		return
	}
	// The cap c at which Σ min(w, c) is the limit, by halving.
	low, high := 0.0, limit
	for range 50 {
		c, sum := (low+high)/2, 0.0
		for _, w := range widths {
			sum += min(w, c)
		}
		if sum > limit {
			high = c
		} else {
			low = c
		}
	}
	for i := range widths {
		widths[i] = min(widths[i], low)
	}
}
