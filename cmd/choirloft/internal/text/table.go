// Package text lays reports out for a terminal or a plain file. It works
// nothing out: every number and sentence comes from the contract.
package text

import (
	"strings"

	"github.com/jedib0t/go-pretty/v6/table"
	"github.com/jedib0t/go-pretty/v6/text"

	"choirloft/profiles/unit"
)

// grid is a table with a head, without a frame. Columns whose head begins
// with a space are numbers and stand to the right.
type grid struct{ w table.Writer }

// newGrid returns a table with these columns.
func newGrid(heads ...string) *grid {
	g := &grid{table.NewWriter()}
	var configs []table.ColumnConfig
	row := make(table.Row, len(heads))
	for i, h := range heads {
		row[i] = strings.TrimSpace(h)
		config := table.ColumnConfig{Number: i + 1, VAlignHeader: text.VAlignBottom}
		if strings.HasPrefix(h, " ") {
			config.Align, config.AlignHeader = text.AlignRight, text.AlignRight
		}
		configs = append(configs, config)
	}
	g.w.SetStyle(table.Style{
		Box:     table.BoxStyle{PaddingRight: "  ", MiddleVertical: ""},
		Format:  table.FormatOptions{Header: text.FormatDefault},
		Options: table.OptionsNoBordersAndSeparators,
	})
	g.w.SetColumnConfigs(configs)
	g.w.SuppressTrailingSpaces()
	g.w.AppendHeader(row)
	return g
}

// add appends a row.
func (g *grid) add(cells ...string) {
	row := make(table.Row, len(cells))
	for i, c := range cells {
		row[i] = unit.Printable(c)
	}
	g.w.AppendRow(row)
}

// lines returns the table, indented.
func (g *grid) lines() []string {
	lines := strings.Split(g.w.Render(), "\n")
	for i := range lines {
		lines[i] = strings.TrimRight("  "+lines[i], " ")
	}
	return lines
}
