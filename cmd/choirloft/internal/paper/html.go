package paper

import (
	"html"
	"io"
	"strconv"
	"strings"
	"time"

	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/cmd/choirloft/internal/draw"
	"choirloft/profiles/unit"
)

// document is a page of HTML that needs nothing else: no script, no font, no
// file.
type document struct{ strings.Builder }

// style is that of all documents: dark rules, one accent, and pages that break
// between sections when printed.
const style = `
:root { color: #181818; background: #fff; font: 16px/1.45 "DejaVu Sans Condensed", "DejaVu Sans", Verdana, sans-serif; }
body { max-width: 60rem; margin: 0 auto; padding: 1rem; }
header { border-bottom: 2px solid #181818; margin-bottom: 1rem; }
h1 { font-size: 1.6rem; margin: 0; } h2 { font-size: 1.2rem; margin: 2rem 0 .5rem; } h3 { font-size: 1rem; margin: 1.2rem 0 .3rem; }
header p { color: #545454; margin: .2rem 0 .6rem; }
svg { display: block; width: 100%; height: auto; margin: .8rem 0; }
.wide { overflow-x: auto; }
table { border-collapse: collapse; margin: .6rem 0; font-size: .9rem; }
th { text-align: left; font-weight: normal; color: #545454; border-bottom: 1.5px solid #181818; }
th, td { padding: .15rem .7rem .15rem 0; white-space: nowrap; } td { border-bottom: 1px solid #cecece; }
.n { text-align: right; } tbody th { color: #181818; font-weight: bold; background: #f0f0ee; border-bottom: 0; padding-left: .2rem; }
li { margin: .4rem 0; } .error b, .warning b { color: #b03414; } .hint { color: #545454; }
@page { margin: 12mm; }
@media print { :root { font-size: 10pt; } body { max-width: none; padding: 0; } h2, h3 { break-after: avoid; }
  svg, tr, li { break-inside: avoid; } .wide { overflow: visible; } thead { display: table-header-group; } }
`

// open writes the head of a document.
func (d *document) open(title, fingerprint string, o Options) {
	t := escape(title)
	d.WriteString("<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n" +
		"<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<title>" + t + "</title>\n<style>" + style)
	if o.Letter {
		d.WriteString("@page { size: letter; }\n")
	} else {
		d.WriteString("@page { size: A4; }\n")
	}
	d.WriteString("</style>\n</head>\n<body>\n<header>\n<h1>" + t + "</h1>\n<p>plan " + escape(fingerprint))
	if !o.Date.IsZero() {
		d.WriteString(", " + o.Date.Format(time.DateOnly))
	}
	d.WriteString("</p>\n</header>\n")
}

func (d *document) close(w io.Writer) error {
	d.WriteString("</body>\n</html>\n")
	_, err := io.WriteString(w, d.String())
	return err
}

func (d *document) heading(level, text string) {
	d.WriteString("<" + level + ">" + escape(text) + "</" + level + ">\n")
}

func (d *document) paragraphs(lines ...string) {
	for _, line := range lines {
		if line != "" {
			d.WriteString("<p>" + escape(line) + "</p>\n")
		}
	}
}

func (d *document) picture(p *draw.Picture) { d.Write(draw.AppendSVG(nil, p)) }

// table writes a table, its groups under titles of their own.
func (d *document) table(t doc.Table) {
	if len(t.Groups) == 0 {
		return
	}
	d.WriteString("<div class=\"wide\"><table>\n<thead><tr>")
	for _, c := range t.Columns {
		d.cell("th", c.Right, c.Head)
	}
	d.WriteString("</tr></thead>\n")
	for _, g := range t.Groups {
		d.WriteString("<tbody>\n")
		if g.Title != "" {
			d.WriteString("<tr><th scope=\"rowgroup\" colspan=\"" + strconv.Itoa(len(t.Columns)) + "\">" + escape(g.Title) + "</th></tr>\n")
		}
		for _, row := range g.Rows {
			d.WriteString("<tr>")
			for i, text := range row {
				d.cell("td", t.Columns[i].Right, text)
			}
			d.WriteString("</tr>\n")
		}
		d.WriteString("</tbody>\n")
	}
	d.WriteString("</table></div>\n")
}

// escape takes the meaning from signs that HTML has one for, or may not have.
func escape(text string) string { return html.EscapeString(unit.Printable(text)) }

func (d *document) cell(tag string, right bool, text string) {
	d.WriteString("<" + tag)
	if right {
		d.WriteString(` class="n"`)
	}
	d.WriteString(">" + escape(text) + "</" + tag + ">")
}

func (d *document) findings(list doc.Findings) {
	d.heading("h2", "Findings")
	if len(list) == 0 {
		d.paragraphs("None: nothing is wrong with the plan.")
		return
	}
	d.WriteString("<ul>\n")
	for _, x := range list {
		d.WriteString(`<li class="` + x.Severity + `"><b>` + escape(x.Severity+": "+x.Code) + "</b> " + escape(findingText(&x)))
		if x.Hint != "" {
			d.WriteString(` <span class="hint">(` + escape(x.Hint) + ")</span>")
		}
		d.WriteString("</li>\n")
	}
	d.WriteString("</ul>\n")
}
