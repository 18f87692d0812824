package doc

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"choirloft/profiles/unit"
)

// TextOptions say how a document is laid out as text.
type TextOptions struct {
	Colour bool // on the answer
	Width  int  // of a line, in characters; 0 is 80
	ASCII  bool // for terminals that have nothing else
}

// colours of an answer, in ANSI X3.64.
var colours = map[Tone]string{Good: "\x1b[32m", Fair: "\x1b[33m", Bad: "\x1b[31m"}

const plain = "\x1b[0m"

// Text writes a document for a terminal or a plain file. Figures are left out.
func Text(w io.Writer, d *Doc, o TextOptions) error {
	if o.Width <= 0 {
		o.Width = 80
	}
	if o.ASCII {
		d = d.ascii()
	}
	p := &page{o: o, plan: d.Plan}
	var last Block
	for _, b := range d.Blocks {
		if _, drawn := b.(Figure); drawn {
			continue
		}
		if _, ok := b.(Table); ok && apart(last) {
			p.lines("")
		}
		p.block(b)
		last = b
	}
	p.name()
	if len(p.left) > 0 {
		p.lines("")
		p.lines(Wrap("Left out at this width: "+strings.Join(p.left, ", ")+".", o.Width, "    ")...)
	}
	_, err := io.WriteString(w, p.String())
	return err
}

// apart tells whether a table stands apart from what is before it: but for a
// heading and the sentence that introduces it.
func apart(last Block) bool {
	switch last.(type) {
	case nil, Heading, Paragraph:
		return false
	}
	return true
}

// page collects lines.
type page struct {
	strings.Builder
	left []string // heads of columns that were left out
	o    TextOptions
	plan string // to name beside the first answer; empty where it is named
	due  bool   // the answer is there, and its line had no room for the plan
}

func (p *page) block(b Block) {
	if _, list := b.(List); !list {
		p.name()
	}
	switch b := b.(type) {
	case Answer:
		p.answer(b)
	case Heading:
		if p.Len() > 0 {
			p.lines("")
		}
		p.lines(Wrap(b.Text, p.o.Width, "")...)
	case Paragraph:
		p.lines(Wrap(b.Text, p.o.Width, "")...)
	case Aside:
		p.lines(Wrap(b.Text, p.o.Width, "    ")...)
	case List:
		p.list(b)
	case Table:
		p.lines(tableLines(b, p.o.Width)...)
		for _, head := range b.leftOut(p.o.Width) {
			if !slices.Contains(p.left, head) {
				p.left = append(p.left, head)
			}
		}
		for _, legend := range b.legends(p.o.Width) {
			p.lines(Wrap(legend, p.o.Width, "    ")...)
		}
	case Findings:
		for _, f := range b {
			p.lines(Wrap(f.line(), p.o.Width, "    ")...)
			if f.Hint != "" {
				p.lines(Wrap("    "+f.Hint, p.o.Width, "    ")...)
			}
		}
	}
}

func (p *page) answer(a Answer) {
	if strings.Contains(a.Text, p.plan) {
		p.plan = ""
	}
	p.due = p.plan != ""
	lines := Wrap(a.Text, p.o.Width, "")
	for _, line := range lines {
		if len(lines) == 1 { // else it would stand inside a sentence
			line = p.beside(line)
		}
		if colour := colours[a.Tone]; p.o.Colour && colour != "" {
			line = colour + line + plain
		}
		p.line(line)
	}
}

// beside names the plan at the right end of a line.
func (p *page) beside(line string) string {
	const apart = 2
	plan := "plan " + p.plan
	room := p.o.Width - utf8.RuneCountInString(line) - len(plan)
	if !p.due || room < apart {
		return line
	}
	p.plan, p.due = "", false
	return line + strings.Repeat(" ", room) + plan
}

// name gives the plan a line of its own at the end of the head, where the answer had
// no room.
func (p *page) name() {
	if p.due {
		p.line(p.beside(""))
	}
}

func (p *page) list(l List) {
	for i, item := range l.Items {
		text, below := item.Text, "  "
		if l.Numbered {
			text = fmt.Sprintf("%d  %s", i+1, text)
			if i > 0 {
				p.lines("")
			}
		}
		if l.Boxes {
			below = "   [ ] "
		}
		p.lines(Wrap(text, p.o.Width, "    ")...)
		for _, line := range item.Below {
			p.lines(Wrap(below+line, p.o.Width, "    ")...)
		}
	}
}

// line is a finding without its hint.
func (f *Finding) line() string {
	return f.Severity + ": " + f.placed() + " [" + f.Code + "]" + f.basis()
}

// placed is where it is and what it says.
func (f *Finding) placed() string {
	if f.Where == "" {
		return f.Text
	}
	return f.Where + ": " + f.Text
}

// basis names a number that nobody measured so.
func (f *Finding) basis() string {
	if f.Assumed {
		return " (assumed, not measured)"
	}
	return ""
}

func (p *page) lines(lines ...string) {
	for _, line := range lines {
		p.line(line)
	}
}

func (p *page) line(line string) {
	p.WriteString(line)
	p.WriteByte('\n')
}

// Wrap breaks a sentence at spaces into lines of at most width characters.
// The spaces it begins with go before every line, the indent besides before
// all but the first. A word that is longer than a line is broken.
func Wrap(s string, width int, indent string) []string {
	s = unit.Printable(s)
	lead := s[:len(s)-len(strings.TrimLeft(s, " "))]
	var lines []string
	line, blank := lead, true
	for _, word := range strings.Fields(s) {
		for {
			room := width - utf8.RuneCountInString(line)
			if !blank {
				room--
			}
			long := utf8.RuneCountInString(word)
			if long <= room || room < 1 && blank {
				break
			}
			if !blank {
				lines, line, blank = append(lines, line), lead+indent, true
				continue
			}
			cut := runes(word, room)
			lines, line, word = append(lines, line+word[:cut]), lead+indent, word[cut:]
		}
		if !blank {
			line += " "
		}
		line, blank = line+word, false
	}
	return append(lines, line)
}

// runes is the length in bytes of the first n characters of a text.
func runes(s string, n int) int {
	for at := range s {
		if n == 0 {
			return at
		}
		n--
	}
	return len(s)
}
