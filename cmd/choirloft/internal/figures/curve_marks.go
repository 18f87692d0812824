package figures

import (
	"slices"
	"strconv"
	"strings"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/draw"
	"choirloft/cmd/choirloft/internal/say"
	"choirloft/profiles/unit"
)

// shown are the marks among the points that stand large, with their places on the axis:
// the middle of a column, or between two where that number of voices was not played.
func (c *curves) shown(from, to int, each func(m *say.SizeMark, at float64)) {
	for i := range c.marks {
		m := &c.marks[i]
		at, played := c.index(m.Voices)
		switch {
		case played && from <= at && at < to:
			each(m, float64(at-from)+0.5)
		case !played && from < at && at < to:
			each(m, float64(at-from))
		}
	}
}

// index is the first point of no fewer voices, and whether it is of as many.
func (c *curves) index(voices int) (at int, played bool) {
	return slices.BinarySearchFunc(c.points, voices, func(p *contract.SizePoint, n int) int { return p.Voices - n })
}

// markType is how the name of a number of voices is set.
func markType(m *say.SizeMark) draw.Type {
	if m.Answer {
		return draw.Type{Size: 3.9, Bold: true}
	}
	return draw.Type{Size: body}
}

func markName(m *say.SizeMark) string { return strconv.Itoa(m.Voices) + ": " + m.Says }

// named places the names of marks so that none lies over another: its left end, and the
// row over the chart, from 1 on.
func (c *curves) named(a *area, from, to int, each func(m *say.SizeMark, row int, at, x float64)) {
	var ends []float64
	c.shown(from, to, func(m *say.SizeMark, at float64) {
		w := draw.Width(markName(m), markType(m))
		x := min(max(a.x(at)-w/2, a.left), a.left+a.width-w)
		row := slices.IndexFunc(ends, func(end float64) bool { return end+3 <= x })
		if row < 0 {
			ends, row = append(ends, 0), len(ends)
		}
		ends[row] = x + w
		each(m, row+1, at, x)
	})
}

// nameLevels counts the rows of names.
func (c *curves) nameLevels(a *area, from, to int) (rows int) {
	c.named(a, from, to, func(_ *say.SizeMark, row int, _, _ float64) { rows = max(rows, row) })
	return rows
}

// nameLine is the line of type of a row of names over the chart.
func nameLine(a *area, row int) float64 { return a.top - 1.4 - markRow*float64(row-1) }

// beyond names the marks that do not stand large, and what the dot is.
func (c *curves) beyond(x, y float64, from, to int) {
	says, in := []string{"Identical voices that all parts share"}, map[int]bool{}
	c.shown(from, to, func(m *say.SizeMark, _ float64) {
		in[m.Voices] = true
	})
	for i := range c.marks {
		if m := &c.marks[i]; m.Have && (c.small || in[m.Voices]) {
			says[0] += "; dot: the rig as it is, with its parts and banks"
			in[m.Voices] = true
		}
	}
	if slices.ContainsFunc(c.points, func(p *contract.SizePoint) bool { _, _, ok := c.of(p); return !ok }) {
		says = append(says, "Hatched: not known what is heard")
	}
	var others []string
	for i := range c.marks {
		if m := &c.marks[i]; !in[m.Voices] {
			others = append(others, markName(m))
		}
	}
	if len(others) > 0 {
		says = append(says, "Not shown large: "+unit.List(others))
	}
	t := draw.Type{Size: small, Ink: draw.Dark}
	lines := draw.Wrap(strings.Join(says, ". ")+".", c.p.Width-x-2, t)
	for i, line := range lines {
		c.p.Text(x, y-3.4*float64(len(lines)-1-i), line, t)
	}
}
