package doc

import "strings"

// plainSigns are signs that a terminal without UTF-8 lacks, and what stands for
// them: the bars of a spark line are as high as their digits say.
var plainSigns = strings.NewReplacer("▁", "1", "▂", "2", "▃", "3", "▄", "4", "▅", "5", "▆", "6", "▇", "7", "█", "8",
	"¼", "+.25", "⅓", "+.33", "½", "+.5", "⅔", "+.67", "¾", "+.75", "…", "...", "×", "x", "±", "+-", "–", "-", "−", "-", "µ", "u", "→", " to ")

// ascii returns a text without a sign beyond ASCII; what has no likeness is a
// question mark.
func ascii(s string) string {
	return strings.Map(func(r rune) rune {
		if r > 126 {
			return '?'
		}
		return r
	}, plainSigns.Replace(s))
}

// ascii returns the document in ASCII, before it is laid out: what stands for a
// sign may be longer.
func (d *Doc) ascii() *Doc {
	out := &Doc{Title: ascii(d.Title), Plan: d.Plan}
	for _, b := range d.Blocks {
		out.Blocks = append(out.Blocks, plainBlock(b))
	}
	return out
}

func plainBlock(b Block) Block {
	switch b := b.(type) {
	case Answer:
		b.Text = ascii(b.Text)
		return b
	case Heading:
		b.Text = ascii(b.Text)
		return b
	case Paragraph:
		return Paragraph{ascii(b.Text)}
	case Aside:
		return Aside{ascii(b.Text)}
	case List:
		items := make([]Item, len(b.Items))
		for i, x := range b.Items {
			items[i] = Item{ascii(x.Text), plainAll(x.Below), x.About, x.Optional}
		}
		b.Items = items
		return b
	case Table:
		return plainTable(b)
	case Findings:
		out := make(Findings, len(b))
		for i, f := range b {
			f.Where, f.Text, f.Hint = ascii(f.Where), ascii(f.Text), ascii(f.Hint)
			out[i] = f
		}
		return out
	}
	return b
}

func plainTable(t Table) Table {
	columns := make([]Column, len(t.Columns))
	for i, c := range t.Columns {
		c.Head, c.Legend = ascii(c.Head), ascii(c.Legend)
		columns[i] = c
	}
	groups := make([]Group, len(t.Groups))
	for i, g := range t.Groups {
		groups[i].Title = ascii(g.Title)
		for _, row := range g.Rows {
			groups[i].Rows = append(groups[i].Rows, plainAll(row))
		}
	}
	t.Columns, t.Groups = columns, groups
	return t
}

func plainAll(all []string) (out []string) {
	for _, s := range all {
		out = append(out, ascii(s))
	}
	return out
}
