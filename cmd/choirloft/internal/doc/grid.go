package doc

import (
	"fmt"
	"slices"
	"strings"

	"choirloft/profiles/unit"

	"github.com/jedib0t/go-pretty/v6/table"
	"github.com/jedib0t/go-pretty/v6/text"
)

// indent stands before a table, gutter between two columns and before each.
const (
	indent = 2
	gutter = 2
)

// tableLines lays a table out in lines of at most a width. Where it is too
// wide, columns go by their rank, and then the widest text is folded.
func tableLines(t Table, width int) []string {
	t = t.printable()
	t = t.narrowed(width)
	if t.Columns[0].Width > 0 {
		return fixedLines(&t, width)
	}
	var lines []string
	for i, g := range t.Groups {
		head, rows := gridLines(&t, g.Rows, width)
		if i == 0 {
			lines = append(lines, head...)
		}
		if g.Title != "" {
			lines = append(lines, Wrap("  "+g.Title+":", width, "    ")...)
		}
		lines = append(lines, rows...)
	}
	return lines
}

// printable returns the table with words that a terminal shows and does not
// obey.
func (t Table) printable() Table {
	t.Columns = slices.Clone(t.Columns)
	for i := range t.Columns {
		c := &t.Columns[i]
		c.Head, c.Legend = unit.Printable(c.Head), unit.Printable(c.Legend)
	}
	groups := make([]Group, len(t.Groups))
	for i, g := range t.Groups {
		groups[i] = Group{Title: unit.Printable(g.Title), Rows: make([][]string, len(g.Rows)), About: g.About}
		for j, row := range g.Rows {
			groups[i].Rows[j] = make([]string, len(row))
			for k, cell := range row {
				groups[i].Rows[j][k] = unit.Printable(cell)
			}
		}
	}
	t.Groups = groups
	return t
}

// narrowed returns the table without the columns that a line has no room for.
func (t Table) narrowed(width int) Table {
	widths := t.natural()
	for i, c := range t.Columns {
		if c.Least > 0 {
			widths[i] = min(widths[i], max(c.Least, longestWord(c.Head)))
		}
	}
	keep := make([]bool, len(widths))
	for i := range keep {
		keep[i] = true
	}
	for total(widths, keep) > width {
		worst := -1
		for i, c := range t.Columns {
			if keep[i] && c.Rank > 0 && (worst < 0 || c.Rank >= t.Columns[worst].Rank) {
				worst = i
			}
		}
		if worst < 0 {
			break
		}
		keep[worst] = false
	}
	return t.only(keep)
}

// leftOut are the heads of the columns that a line has no room for, each with what is
// before its colon explained where the column would do so.
func (t Table) leftOut(width int) (heads []string) {
	kept := map[string]bool{}
	narrow := t.printable().narrowed(width)
	for _, c := range narrow.Columns {
		kept[c.Head] = true
	}
	for _, c := range t.printable().Columns {
		group, _, grouped := strings.Cut(c.Head, ":")
		switch {
		case kept[c.Head]:
		case grouped && c.Legend != "":
			heads = append(heads, fmt.Sprintf("%s (%s: %s)", c.Head, group, strings.TrimSuffix(c.Legend, ".")))
		default:
			heads = append(heads, c.Head)
		}
	}
	return heads
}

// only returns the table with some of its columns.
func (t Table) only(keep []bool) Table {
	if !slices.Contains(keep, false) {
		return t
	}
	out := Table{Columns: kept(t.Columns, keep), Groups: make([]Group, len(t.Groups)), Aside: t.Aside}
	for i, g := range t.Groups {
		out.Groups[i].Title, out.Groups[i].About = g.Title, g.About
		for _, row := range g.Rows {
			out.Groups[i].Rows = append(out.Groups[i].Rows, kept(row, keep))
		}
	}
	return out
}

func kept[T any](all []T, keep []bool) []T {
	var out []T
	for i, x := range all {
		if keep[i] {
			out = append(out, x)
		}
	}
	return out
}

// natural are the widths of columns that fold nothing but heads.
func (t *Table) natural() []int {
	widths := make([]int, len(t.Columns))
	for i, c := range t.Columns {
		if c.Width > 0 {
			widths[i] = c.Width
			continue
		}
		widths[i] = longestWord(c.Head)
		for _, g := range t.Groups {
			for _, row := range g.Rows {
				widths[i] = max(widths[i], text.StringWidthWithoutEscSequences(row[i]))
			}
		}
	}
	return widths
}

// unlimited is the width of what has no lines.
const unlimited = 1 << 30

// longestWord is the width of the longest word, which no head breaks.
func longestWord(head string) (most int) {
	for _, word := range strings.Fields(head) {
		most = max(most, text.StringWidthWithoutEscSequences(word))
	}
	return most
}

// total is the width of the columns that are kept.
func total(widths []int, keep []bool) int {
	sum := indent - gutter
	for i, w := range widths {
		if keep[i] {
			sum += w + gutter
		}
	}
	return sum
}

// all keeps every one of n columns.
func all(n int) []bool { return slices.Repeat([]bool{true}, n) }

// legends are what the columns that are printed have to say, each after its
// head.
func (t Table) legends(width int) []string {
	var words []string
	for _, c := range t.narrowed(width).Columns {
		if c.Legend != "" {
			name, _, _ := strings.Cut(c.Head, ":")
			words = append(words, name+": "+c.Legend)
		}
	}
	if len(words) == 0 {
		return nil
	}
	return []string{strings.Join(words, " ")}
}

// Legends are what the columns have to say where all of them are printed.
func (t Table) Legends() []string { return t.legends(unlimited) }

// gridLines are a head and rows in columns as wide as they must be.
func gridLines(t *Table, rows [][]string, width int) (head, body []string) {
	widths := t.natural()
	folded := fold(t, widths, width)
	beside := 1
	if t.Aside && !slices.Contains(folded, true) {
		beside = min(3, max(1, (len(rows)+5)/6), max(1, (width-indent+gutter)/(total(widths, all(len(widths)))-indent+gutter)))
	}
	w := table.NewWriter()
	w.SetStyle(table.Style{
		Box:     table.BoxStyle{PaddingRight: strings.Repeat(" ", gutter), MiddleVertical: ""},
		Format:  table.FormatOptions{Header: text.FormatDefault},
		Options: table.OptionsNoBordersAndSeparators,
	})
	w.SuppressTrailingSpaces()
	high := heads(w, t, widths, beside)
	down := (len(rows) + beside - 1) / beside
	for i := range down {
		var cells table.Row
		for at := i; at < len(rows); at += down {
			for j, cell := range rows[at] {
				if folded[j] {
					cell = strings.Join(Wrap(cell, widths[j], "  "), "\n")
				}
				cells = append(cells, cell)
			}
		}
		w.AppendRow(cells)
	}
	lines := strings.Split(w.Render(), "\n")
	for i := range lines {
		lines[i] = strings.TrimRight(strings.Repeat(" ", indent)+lines[i], " ")
	}
	return lines[:high], lines[high:]
}

// heads gives a table its head, as often beside itself as the rows stand, and
// returns how many lines it has. No word is broken.
func heads(w table.Writer, t *Table, widths []int, beside int) (high int) {
	var configs []table.ColumnConfig
	var head table.Row
	for n := range beside {
		for i, c := range t.Columns {
			config := table.ColumnConfig{Number: n*len(t.Columns) + i + 1, VAlignHeader: text.VAlignBottom, WidthMin: widths[i]}
			if c.Right {
				config.Align, config.AlignHeader = text.AlignRight, text.AlignRight
			}
			configs = append(configs, config)
			lines := Wrap(c.Head, widths[i], "")
			high = max(high, len(lines))
			head = append(head, strings.Join(lines, "\n"))
		}
	}
	w.SetColumnConfigs(configs)
	w.AppendHeader(head)
	return high
}

// least is as narrow as a column of words is folded.
const least = 8

// fold makes the widest columns of words narrower where the line is too short
// for all, and returns which.
func fold(t *Table, widths []int, width int) []bool {
	folded := make([]bool, len(widths))
	for over := total(widths, all(len(widths))) - width; over > 0; over-- {
		at := -1
		for i, c := range t.Columns {
			if !c.Right && widths[i] > max(least, longestWord(c.Head)) && (at < 0 || widths[i] > widths[at]) {
				at = i
			}
		}
		if at < 0 {
			break
		}
		widths[at]--
		folded[at] = true
	}
	return folded
}

// fixedLines are rows in columns of fixed width. What stands in one never
// changes how another is printed.
func fixedLines(t *Table, width int) []string {
	heads := make([]string, len(t.Columns))
	for i, c := range t.Columns {
		heads[i] = c.Head
	}
	lines := fixedRow(t.Columns, heads, width)
	for _, g := range t.Groups {
		if g.Title != "" {
			lines = append(lines, Wrap("  "+g.Title+":", width, "    ")...)
		}
		for _, row := range g.Rows {
			lines = append(lines, fixedRow(t.Columns, row, width)...)
		}
	}
	return lines
}

// fixedRow is a row. A cell that is too long pushes those behind it as far as they
// have no room left; cells that the line has no room for go below.
func fixedRow(columns []Column, cells []string, width int) []string {
	var lines []string
	line, at := "", 0
	for i, cell := range cells {
		wide := text.StringWidthWithoutEscSequences(cell)
		from := at + gutter
		if columns[i].Right {
			from += max(0, columns[i].Width-wide)
		}
		at += gutter + columns[i].Width
		here := text.StringWidthWithoutEscSequences(line)
		from = max(from, here+gutter)
		if from+wide > width && line != "" && cell != "" {
			lines = append(lines, line)
			line, from, here = "", 2*indent+2*gutter, 0
		}
		line += strings.Repeat(" ", from-here) + cell
	}
	var out []string
	for _, l := range append(lines, line) {
		l = strings.TrimRight(l, " ")
		if text.StringWidthWithoutEscSequences(l) > width {
			out = append(out, Wrap(l, width, "  ")...)
			continue
		}
		out = append(out, l)
	}
	return out
}
