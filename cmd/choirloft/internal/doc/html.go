package doc

import (
	"html"
	"io"
	"strconv"
	"strings"

	"choirloft/profiles/unit"
)

// HTMLOptions say how a document is laid out for a browser.
type HTMLOptions struct {
	Letter bool   // prints on US letter instead of A4
	Date   string // printed below the title; empty for none
	// Figures are the drawings as SVG, by name.
	Figures map[string][]byte
}

// style is that of all documents: dark rules, one accent, and pages that break
// between sections when printed.
const style = `
:root { color: #181818; background: #fff; font: 16px/1.45 "DejaVu Sans", sans-serif; }
body { max-width: 60rem; margin: 0 auto; padding: 1rem; }
header { border-bottom: 2px solid #181818; margin-bottom: 1rem; }
h1 { font-size: 1.6rem; margin: 0; } h2 { font-size: 1.2rem; margin: 2rem 0 .5rem; }
header p, .aside { color: #545454; margin: .2rem 0 .6rem; } .answer { font-weight: bold; }
svg { display: block; width: 100%; height: auto; margin: .8rem 0; }
.wide { overflow-x: auto; }
@media screen and (min-width: 62rem) { .wide { position: relative; left: 50%; transform: translateX(-50%); width: max-content; min-width: 100%; max-width: calc(100vw - 3rem); } }
table { border-collapse: collapse; margin: .6rem 0; font-size: .9rem; }
th { text-align: left; font-weight: normal; color: #545454; border-bottom: 1.5px solid #181818; }
th, td { padding: .15rem .7rem .15rem 0; white-space: nowrap; } td { border-bottom: 1px solid #cecece; }
.n { text-align: right; } tbody th { color: inherit; border-bottom: 1px solid #cecece; }
tbody th.group { font-weight: bold; background: #f0f0ee; border-bottom: 0; padding-left: .2rem; white-space: normal; }
caption { position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); white-space: nowrap; }
li { margin: .4rem 0; } .plain { list-style: none; padding: 0; } .error b, .warning b { color: #b03414; } .hint { color: #545454; }
@media screen and (max-width: 40rem) {
  body { padding: .6rem; overflow-wrap: anywhere; } th, td { white-space: normal; } ol { padding-left: 1.4rem; } li ul { padding-left: .8rem; }
  .cards, .cards tbody, .cards tr { display: block; } .cards thead, .cards .none { display: none; }
  .cards tr { border-bottom: 1px solid #cecece; padding: .25rem 0; } .cards .group { display: block; margin: .3rem 0; }
  .cards td, .cards tbody th[scope=row] { display: inline-block; border: 0; padding: 0 .7rem 0 0; text-align: left; } .cards th[scope=row] { font-weight: bold; }
  .cards [data-head]::before { content: attr(data-head) " "; color: #545454; font-weight: normal; }
}
@page { margin: 12mm; }
@media print { :root { font-size: 10pt; } body { max-width: none; padding: 0; } h2 { break-after: avoid; }
  svg, tr, li { break-inside: avoid; } .wide { overflow: visible; } thead { display: table-header-group; } }
`

// HTML writes a document as one page that needs nothing else: no script, no
// font, no file. Each table has the heading above it as its caption, for those who hear the
// page. On a phone each row of a wide table is a card, and nothing is wider than the screen.
func HTML(w io.Writer, d *Doc, o HTMLOptions) error {
	p := &htmlPage{figures: o.Figures, heading: d.Title}
	title := escape(d.Title)
	p.WriteString("<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n" +
		"<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<title>" + title + "</title>\n<style>" + style)
	size := "A4"
	if o.Letter {
		size = "letter"
	}
	p.WriteString("@page { size: " + size + "; }\n</style>\n</head>\n<body>\n<header>\n<h1>" + title + "</h1>\n")
	if d.Plan != "" {
		p.WriteString("<p>plan " + escape(d.Plan))
		if o.Date != "" {
			p.WriteString(", " + escape(o.Date))
		}
		p.WriteString("</p>\n")
	}
	p.WriteString("</header>\n")
	for _, b := range d.Blocks {
		p.block(b)
	}
	p.WriteString("</body>\n</html>\n")
	_, err := io.WriteString(w, p.String())
	return err
}

// escape takes the meaning from signs that HTML, or whoever shows it, has one
// for.
func escape(s string) string { return html.EscapeString(unit.Printable(s)) }

type htmlPage struct {
	strings.Builder
	figures map[string][]byte
	heading string // that of the next table
	tables  int    // under it
}

func (p *htmlPage) block(b Block) {
	switch b := b.(type) {
	case Answer:
		p.element("p", "answer", b.Text)
	case Heading:
		p.heading, p.tables = b.Text, 0
		p.element("h2", "", b.Text)
	case Paragraph:
		p.element("p", "", b.Text)
	case Aside:
		p.element("p", "aside", b.Text)
	case List:
		p.list(b)
	case Table:
		p.table(b)
	case Figure:
		p.Write(p.figures[b.Name])
	case Findings:
		p.findings(b)
	}
}

// element writes a text in a tag, of a class unless that is empty.
func (p *htmlPage) element(tag, class, text string) {
	p.WriteString("<" + tag)
	if class != "" {
		p.WriteString(` class="` + class + `"`)
	}
	p.WriteString(">" + escape(text) + "</" + tag + ">\n")
}

func (p *htmlPage) list(l List) {
	tag, open := "ul", `<ul class="plain">`
	if l.Numbered {
		tag, open = "ol", "<ol>"
	}
	p.WriteString(open + "\n")
	for _, item := range l.Items {
		p.WriteString("<li>" + escape(item.Text))
		if len(item.Below) > 0 {
			p.WriteString("\n<ul>\n")
			for _, line := range item.Below {
				p.element("li", "", line)
			}
			p.WriteString("</ul>\n")
		}
		p.WriteString("</li>\n")
	}
	p.WriteString("</" + tag + ">\n")
}

// manyColumns are more than fit beside each other on a phone.
const manyColumns = 5

// table writes a table, its groups under titles of their own.
func (p *htmlPage) table(t Table) {
	class := ""
	if len(t.Columns) >= manyColumns {
		class = ` class="cards"`
	}
	p.WriteString("<div class=\"wide\"><table" + class + ">\n<caption>" + escape(p.caption()) + "</caption>\n<thead><tr>")
	for _, c := range t.Columns {
		p.head(&c)
	}
	p.WriteString("</tr></thead>\n")
	for _, g := range t.Groups {
		p.WriteString("<tbody>\n")
		if g.Title != "" {
			p.WriteString("<tr><th class=\"group\" scope=\"rowgroup\" colspan=\"" + strconv.Itoa(len(t.Columns)) + "\">" + escape(g.Title) + "</th></tr>\n")
		}
		for _, row := range g.Rows {
			p.row(&t, row)
		}
		p.WriteString("</tbody>\n")
	}
	p.WriteString("</table></div>\n")
	for _, legend := range t.Legends() {
		p.element("p", "aside", legend)
	}
}

// caption is the heading that a table stands below, and which of its tables it is.
func (p *htmlPage) caption() string {
	if p.tables++; p.tables > 1 {
		return p.heading + ", " + strconv.Itoa(p.tables)
	}
	return p.heading
}

// row writes a row, whose head is its first word. Where a row is a card each cell says the
// head of its column, and what says nothing is left out.
func (p *htmlPage) row(t *Table, cells []string) {
	p.WriteString("<tr>")
	headed := false
	for i, text := range cells {
		c := &t.Columns[i]
		tag := "td"
		if !headed && !c.Right && text != "" {
			tag, headed = `th scope="row"`, true
		}
		class := ""
		if c.Right {
			class = "n"
		}
		if len(t.Columns) >= manyColumns {
			if text == "" || text == unit.None {
				class = strings.TrimSpace(class + " none")
			}
			tag += ` data-head="` + escape(c.Head) + `"`
		}
		p.cell(tag, class, text)
	}
	p.WriteString("</tr>\n")
}

// head is that of a column, and says what it means to whoever points at it.
func (p *htmlPage) head(c *Column) {
	title := ""
	if c.Meaning != "" {
		title = ` title="` + escape(c.Meaning) + `"`
	}
	class := ""
	if c.Right {
		class = "n"
	}
	p.cell(`th scope="col"`+title, class, c.Head)
}

func (p *htmlPage) cell(tag, class, text string) {
	p.WriteString("<" + tag)
	if class != "" {
		p.WriteString(` class="` + class + `"`)
	}
	name, _, _ := strings.Cut(tag, " ")
	p.WriteString(">" + escape(text) + "</" + name + ">")
}

func (p *htmlPage) findings(list Findings) {
	p.WriteString("<ul>\n")
	for i := range list {
		f := &list[i]
		p.WriteString(`<li class="` + escape(f.Severity) + `"><b>` + escape(f.Severity+": "+f.Code) + "</b> " +
			escape(f.placed()+f.basis()))
		if f.Hint != "" {
			p.WriteString(` <span class="hint">(` + escape(f.Hint) + ")</span>")
		}
		if len(f.Facts) > 0 {
			p.WriteString("<br>\n<small>" + escape(f.Figures()) + "</small>")
		}
		p.WriteString("</li>\n")
	}
	p.WriteString("</ul>\n")
}
