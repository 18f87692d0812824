package text

import (
	"strings"
	"unicode/utf8"

	"choirloft/cmd/choirloft/internal/contract"
)

// fixed lays a table out in columns of fixed width. A cell that is too long
// pushes the rest of its own line to the right and no other: what stands in
// one row never changes how another is printed.
func fixed(t contract.Table) []string {
	heads := make([]string, len(t.Columns))
	for i, c := range t.Columns {
		heads[i] = c.Head
	}
	lines := []string{fixedRow(t.Columns, heads)}
	for _, g := range t.Groups {
		if g.Title != "" {
			lines = append(lines, "  "+g.Title+":")
		}
		for _, row := range g.Rows {
			lines = append(lines, fixedRow(t.Columns, row))
		}
	}
	return lines
}

func fixedRow(columns []contract.TableColumn, cells []string) string {
	var b strings.Builder
	for i, cell := range cells {
		b.WriteString("  ")
		padding := strings.Repeat(" ", max(0, columns[i].Width-utf8.RuneCountInString(cell)))
		if columns[i].Right {
			b.WriteString(padding + cell)
		} else {
			b.WriteString(cell + padding)
		}
	}
	return strings.TrimRight(b.String(), " ")
}
