package text

import (
	"choirloft/profiles/unit"
	"io"
	"strings"
	"unicode/utf8"
)

// Options say how a view is laid out.
type Options struct {
	Colour bool // on the sentence that says the answer
	Width  int  // in characters, for sentences; 0 for 80
}

// colour is an ANSI colour, or none.
type colour string

const (
	red    colour = "\x1b[31m"
	green  colour = "\x1b[32m"
	yellow colour = "\x1b[33m"
	plain         = "\x1b[0m"
)

// page collects lines.
type page struct {
	strings.Builder
	options Options
}

func newPage(o Options) *page {
	if o.Width <= 0 {
		o.Width = 80
	}
	return &page{options: o}
}

// answer writes the first sentence.
func (p *page) answer(s string, c colour) {
	for _, line := range Wrap(s, p.options.Width, "") {
		if p.options.Colour {
			line = string(c) + line + plain
		}
		p.lines(line)
	}
}

// sentences writes sentences that are not empty, each from a new line.
func (p *page) sentences(sentences ...string) {
	for _, s := range sentences {
		if s != "" {
			p.lines(Wrap(s, p.options.Width, "")...)
		}
	}
}

// hanging writes sentences that are not empty, the further lines of each
// indented.
func (p *page) hanging(sentences ...string) {
	for _, s := range sentences {
		if s == "" {
			continue
		}
		p.lines(Wrap(s, p.options.Width, "    ")...)
	}
}

func (p *page) lines(lines ...string) {
	for _, line := range lines {
		p.WriteString(line)
		p.WriteByte('\n')
	}
}

func (p *page) gap() { p.WriteByte('\n') }

func (p *page) flush(w io.Writer) error {
	_, err := io.WriteString(w, p.String())
	return err
}

// Wrap breaks a sentence at spaces. The indent goes before all lines but the
// first.
func Wrap(s string, width int, indent string) []string {
	s = unit.Printable(s)
	lead := s[:len(s)-len(strings.TrimLeft(s, " "))]
	var lines []string
	line := lead
	for _, word := range strings.Fields(s) {
		long := utf8.RuneCountInString(line) + 1 + utf8.RuneCountInString(word)
		switch {
		case strings.TrimSpace(line) == "":
			line += word
		case long <= width:
			line += " " + word
		default:
			lines = append(lines, line)
			line = lead + indent + word
		}
	}
	return append(lines, line)
}
