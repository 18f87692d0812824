package text

import (
	"io"
	"strings"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/profiles/unit"
)

// MapMarkdown writes the channel map as Markdown with tables.
func MapMarkdown(w io.Writer, m *contract.Map, _ Options) error {
	p := newPage(Options{})
	p.lines("# Channel map", "", mark(m.Summary+"."))
	p.markTable("##", m.VoiceTable())
	p.markTable("##", m.LaneTable())
	p.lines("", "## Spare jacks", "")
	p.bullets(m.SpareLines())
	p.bullets(m.PathLines())
	p.bullets(m.Growth.Lines())
	p.markTable("##", m.BudgetTable())
	if len(m.Cables) > 0 {
		p.lines("", "## Cables", "")
		p.bullets(m.CableLines())
	}
	for i := range m.Unisons {
		u := &m.Unisons[i]
		p.lines("", "## Unison", "", mark(u.Head()))
		p.markTable("", u.PositionTable())
		p.markTable("", u.BeatTable())
		p.lines("")
		p.bullets(u.Rest())
	}
	if len(m.Findings) > 0 {
		p.lines("", "## Findings", "")
		for _, f := range m.Findings {
			p.bullets([]string{finding(f)})
		}
	}
	p.lines("", "## Cautions", "")
	p.bullets(m.Cautions())
	return p.flush(w)
}

func (p *page) bullets(lines []string) {
	for _, line := range lines {
		p.lines("- " + mark(line))
	}
}

// markTable writes each group as a table of its own, under a heading.
func (p *page) markTable(heading string, t contract.Table) {
	for _, g := range t.Groups {
		if g.Title != "" {
			p.lines("", heading+" "+mark(g.Title))
		}
		heads, rules := make([]string, len(t.Columns)), make([]string, len(t.Columns))
		for i, c := range t.Columns {
			heads[i], rules[i] = c.Head, "---"
			if c.Right {
				rules[i] = "--:"
			}
		}
		p.lines("", markRow(heads), "|"+strings.Join(rules, "|")+"|")
		for _, row := range g.Rows {
			p.lines(markRow(row))
		}
	}
}

func markRow(cells []string) string {
	var b strings.Builder
	for _, cell := range cells {
		b.WriteString("| " + mark(cell) + " ")
	}
	return b.String() + "|"
}

var marks = strings.NewReplacer(`\`, `\\`, "`", "\\`", "*", `\*`, "_", `\_`, "<", `\<`, "[", `\[`, "]", `\]`, "|", `\|`)

// mark takes the meaning from signs that Markdown has one for, or a terminal.
func mark(s string) string { return marks.Replace(unit.Printable(s)) }
