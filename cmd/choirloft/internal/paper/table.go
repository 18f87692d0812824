package paper

import (
	"strings"

	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/cmd/choirloft/internal/draw"
	"choirloft/profiles/unit"
)

// row is the height of a table's row, in mm.
const row = 4.9

// padding is between two columns, in mm.
const padding = 1.8

// table lays a table out over the width of the page. Its head and the title of
// the group are repeated on every page; columns that say nothing are left out.
func (f *flow) table(t doc.Table) {
	t = t.WithoutEmpty(unit.None)
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
			if f.need(row * float64(high(f.cellLines(&t, widths, cells, draw.Type{Size: cell}, false)))) {
				f.tableHead(&t, widths)
				f.groupTitle(g.Title, total(widths))
			}
			f.tableRow(&t, widths, cells, draw.Type{Size: cell}, false)
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
	f.tableRow(t, widths, heads, draw.Type{Size: small, Ink: draw.Dark}, true)
	f.on().Line(f.left(), f.y, f.left()+total(widths), f.y, draw.Stroke(draw.Black, 0.3))
}

// tableRow writes a row of as many lines as its highest cell has. Heads stand at
// the foot of theirs.
func (f *flow) tableRow(t *doc.Table, widths []float64, cells []string, kind draw.Type, isHead bool) {
	lines := f.cellLines(t, widths, cells, kind, isHead)
	down := high(lines)
	x := f.left()
	for i := range lines {
		y := f.y + row*0.7
		if isHead {
			y += row * lower * float64(down-len(lines[i]))
		}
		for _, text := range lines[i] {
			if t.Columns[i].Right {
				k := kind
				k.Align = draw.End
				f.on().Text(x+widths[i]-padding, y, text, k)
			} else {
				f.on().Text(x, y, text, kind)
			}
			y += row * lower
		}
		x += widths[i]
	}
	f.y += row * (1 + lower*float64(down-1))
}

// lower is how far one line of a row is below another, in rows.
const lower = 0.75

// cellLines are the cells of a row. Heads are folded at spaces where the column is
// too narrow, and so is what stands in a column that folds; the rest is cut.
func (f *flow) cellLines(t *doc.Table, widths []float64, cells []string, kind draw.Type, isHead bool) [][]string {
	all := make([][]string, len(cells))
	for i, text := range cells {
		all[i] = []string{text}
		if width := widths[i] - padding; isHead || t.Columns[i].Least > 0 && draw.Width(text, kind) > width {
			all[i] = draw.Wrap(text, width, kind)
		}
		for j := range all[i] {
			all[i][j] = draw.FitName(all[i][j], widths[i]-padding, kind)
		}
	}
	return all
}

// high is how many lines the highest cell has.
func high(lines [][]string) (most int) {
	for _, cell := range lines {
		most = max(most, len(cell))
	}
	return max(1, most)
}

func total(widths []float64) float64 {
	sum := -padding
	for _, w := range widths {
		sum += w
	}
	return sum
}

// columns are the widths of columns: as wide as their widest cell, heads folded
// where that is too much in all, and then the widest cut to one width.
func (f *flow) columns(t *doc.Table) []float64 {
	limit := f.width() + padding
	widths := natural(t, func(head string) float64 { return draw.Width(head, draw.Type{Size: small}) })
	if total(widths)+padding > limit {
		widths = natural(t, func(head string) (most float64) {
			for _, word := range strings.Fields(head) {
				most = max(most, draw.Width(word, draw.Type{Size: small}))
			}
			return most
		})
	}
	level(widths, limit)
	return widths
}

// natural are the widths of columns as wide as their widest cell, and as their
// heads say.
func natural(t *doc.Table, ofHead func(string) float64) []float64 {
	widths := make([]float64, len(t.Columns))
	for i, c := range t.Columns {
		widths[i] = ofHead(c.Head)
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
