package paper

import (
	"strings"

	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/cmd/choirloft/internal/draw"
	"choirloft/profiles/unit"
)

// row is the height of a table's row, in mm, and lower how far one line of it is below
// another.
const row, lower = 3.85, 3.3

// tableType is how large cells and heads are, and what is between two columns, in mm.
type tableType struct{ cell, head, padding float64 }

// usualType is that of tables, and tightType, of 7.5 points, of those that it lets into a
// column.
var usualType, tightType = tableType{cell, small, 1.7}, tableType{remark, remark, 1.35}

// grid is a table that is being set: without columns that say nothing.
type grid struct {
	doc.Table
	tableType
	widths []float64
}

// table sets a table. Its head and the title of the group stand again at the top of a
// column of the page.
func (f *flow) table(t doc.Table) {
	t = t.WithoutEmpty(unit.None)
	if len(t.Groups) == 0 {
		return
	}
	g := &grid{t, usualType, nil}
	tight := &grid{t, tightType, nil}
	if g.least() > f.measure() && tight.least() <= f.measure() || g.natural(g.longestWord) > f.measure() && tight.natural(tight.longestWord) <= f.measure() {
		g.tableType = tightType
	}
	g.setWidths(f.measure() + g.padding)
	heads := make([]string, len(t.Columns))
	for i := range heads {
		heads[i] = t.Columns[i].Head
	}
	top := g.row(heads, draw.Type{Size: g.head, Ink: draw.Dark}, true)
	top.gap = 2
	f.set(top)
	for i := range t.Groups {
		group, above := &t.Groups[i], []piece{top}
		if group.Title != "" {
			title := g.title(group.Title)
			if len(t.Groups) > 1 {
				title.section, title.level = group.Title, 1
			}
			title.again = above
			f.set(title)
			title.section = ""
			above = append(above[:1:1], title)
			above[1].again = nil
		}
		for j, cells := range group.Rows {
			one := g.row(cells, draw.Type{Size: g.cell}, false)
			one.again = above
			goesOn := j+1 < len(group.Rows) && group.Rows[j+1][0] == ""
			// A head stands above more than one row, a last row below another, and a record is whole.
			one.keep = len(group.Rows) > 1 && (j == 0 || j == len(group.Rows)-2) || goesOn
			f.set(one)
		}
	}
	for _, legend := range t.Legends() {
		f.keepLast()
		f.set(f.aside(legend)...)
	}
}

func (g *grid) title(text string) piece {
	kind := draw.Type{Size: g.cell, Bold: true}
	lines, width := draw.Wrap(text, max(g.total(), 40), kind), g.total()
	height := row + lower*float64(len(lines)-1)
	return piece{height: height, keep: true, draws: func(p *draw.Picture, x, y float64) {
		p.Rect(x, y+0.3, width, height-0.4, draw.Fill(draw.Faint))
		for i, line := range lines {
			p.Text(x+0.6, y+row*0.74+lower*float64(i), line, kind)
		}
	}}
}

// row is a row of as many lines as its highest cell has, and a rule below it. Heads stand
// at the foot of theirs.
func (g *grid) row(cells []string, kind draw.Type, isHead bool) piece {
	lines, down := make([][]string, len(cells)), 1
	for i, text := range cells {
		lines[i] = draw.Wrap(text, g.widths[i]-g.padding+0.01, kind)
		down = max(down, len(lines[i]))
	}
	height, width := row+lower*float64(down-1), g.total()
	rule := draw.Stroke(draw.Light, 0.15)
	if isHead {
		rule = draw.Stroke(draw.Black, 0.3)
	}
	return piece{height: height, keep: isHead, draws: func(p *draw.Picture, x, y float64) {
		p.Line(x, y+height, x+width, y+height, rule)
		for i := range lines {
			k, at, line := kind, x, y+row*0.72
			if g.Columns[i].Right {
				k.Align, at = draw.End, x+g.widths[i]-g.padding
			}
			if isHead {
				line += lower * float64(down-len(lines[i]))
			}
			for j, text := range lines[i] {
				p.Text(at, line+lower*float64(j), text, k)
			}
			x += g.widths[i]
		}
	}}
}

func (g *grid) total() float64 {
	sum := -g.padding
	for _, w := range g.widths {
		sum += w
	}
	return sum
}

// leastWidth is how wide a table is at least in the type that takes least.
func leastWidth(t doc.Table) float64 {
	return (&grid{t.WithoutEmpty(unit.None), tightType, nil}).least()
}

// least is how wide a table is at least, if no cell is folded that need not be.
func (g *grid) least() float64 {
	if len(g.Groups) == 0 {
		return 0
	}
	g.natural(g.longestWord)
	for i, c := range g.Columns {
		if c.Least > 0 { // in characters
			g.widths[i] = min(g.widths[i], g.padding+max(g.longestWord(c.Head), draw.Width(strings.Repeat("n", c.Least), draw.Type{Size: g.cell})))
		}
	}
	return g.total()
}

// longestWord is the width of the longest word of a head.
func (g *grid) longestWord(head string) (most float64) {
	for _, word := range strings.Fields(head) {
		most = max(most, draw.Width(word, draw.Type{Size: g.head}))
	}
	return most
}

// setWidths makes columns as wide as their widest cell, heads folded where that is too much
// in all, and then the widest cut to one width.
func (g *grid) setWidths(limit float64) {
	if g.natural(func(head string) float64 { return draw.Width(head, draw.Type{Size: g.head}) })+g.padding > limit {
		g.natural(g.longestWord)
	}
	level(g.widths, limit)
}

// natural makes columns as wide as their widest cell, and as their heads say, and returns
// how wide the table is.
func (g *grid) natural(ofHead func(string) float64) float64 {
	g.widths = make([]float64, len(g.Columns))
	for i, c := range g.Columns {
		g.widths[i] = ofHead(c.Head)
	}
	for _, group := range g.Groups {
		for _, cells := range group.Rows {
			for i, text := range cells {
				g.widths[i] = max(g.widths[i], draw.Width(text, draw.Type{Size: g.cell}))
			}
		}
	}
	for i := range g.widths {
		g.widths[i] += g.padding + 0.01
	}
	return g.total()
}

// level cuts the largest values to one, so that the sum is no more than a limit;
// where there is room left it is shared.
func level(widths []float64, limit float64) {
	sum := 0.0
	for _, w := range widths {
		sum += w
	}
	if sum <= limit {
		spread := min((limit-sum)/float64(len(widths)), 5)
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
