package doc

import (
	"fmt"
	"io"
	"strings"

	"choirloft/profiles/unit"
)

// Markdown writes a document as CommonMark with tables. Figures are left out.
func Markdown(w io.Writer, d *Doc) error {
	p := &page{}
	p.lines("# " + mark(d.Title))
	if d.Plan != "" && !d.names(d.Plan) {
		p.lines("", "plan "+mark(d.Plan))
	}
	for _, b := range d.Blocks {
		if _, drawing := b.(Figure); !drawing {
			p.lines("")
			p.markBlock(b)
		}
	}
	_, err := io.WriteString(w, p.String())
	return err
}

func (p *page) markBlock(b Block) {
	switch b := b.(type) {
	case Answer:
		p.lines(mark(b.Text))
	case Heading:
		p.lines("## " + mark(b.Text))
	case Paragraph:
		p.lines(mark(b.Text))
	case Aside:
		p.lines(mark(b.Text))
	case List:
		p.markList(b)
	case Table:
		p.markTable(b)
	case Findings:
		for i := range b {
			p.lines("- " + mark(b[i].line()))
			if b[i].Hint != "" {
				p.lines("  - " + mark(b[i].Hint))
			}
		}
	}
}

func (p *page) markList(l List) {
	for i, item := range l.Items {
		bullet, below := "- ", "  - "
		if l.Numbered {
			bullet = fmt.Sprintf("%d. ", i+1)
			below = strings.Repeat(" ", len(bullet)) + "- "
		}
		if l.Boxes {
			below += "[ ] "
		}
		p.lines(bullet + mark(item.Text))
		for _, line := range item.Below {
			p.lines(below + mark(line))
		}
	}
}

// markTable writes each group as a table of its own, under its title.
func (p *page) markTable(t Table) {
	for i, g := range t.Groups {
		if i > 0 {
			p.lines("")
		}
		if g.Title != "" {
			p.lines("**"+mark(g.Title)+"**", "")
		}
		heads, rules := make([]string, len(t.Columns)), make([]string, len(t.Columns))
		for i, c := range t.Columns {
			heads[i], rules[i] = c.Head, "---"
			if c.Right {
				rules[i] = "--:"
			}
		}
		p.lines(markRow(heads), "|"+strings.Join(rules, "|")+"|")
		for _, row := range g.Rows {
			p.lines(markRow(row))
		}
	}
	for _, legend := range t.Legends() {
		p.lines("", mark(legend))
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

// mark takes the meaning from signs that Markdown has one for.
func mark(s string) string { return marks.Replace(unit.Printable(s)) }
