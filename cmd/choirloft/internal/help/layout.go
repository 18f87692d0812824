package help

import (
	"strings"
	"unicode/utf8"

	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/profiles/pattern"
)

const (
	widestName = 21 // of a name that has its meaning beside it
	meaningAt  = 16 // where meanings begin in a grammar that is folded
	deepestKey = 8  // of a grammar; what is indented further goes on with a meaning
)

// Layout lays a text out in lines of at most width characters, but for examples,
// which are as long as they are.
func Layout(text string, width int) string {
	l := &layout{width: width}
	for line := range strings.Lines(text) {
		if m := named().FindStringSubmatch(strings.TrimRight(line, "\n")); m != nil && m[2] != "" && utf8.RuneCountInString(m[1]) <= widestName {
			l.column = max(l.column, utf8.RuneCountInString(m[1]))
		}
	}
	for line := range strings.Lines(strings.TrimRight(text, "\n") + "\n") {
		l.line(strings.TrimRight(line, "\n"))
	}
	l.flush()
	return l.out.String()
}

// layout collects lines of one kind until another begins.
type layout struct {
	width   int
	column  int // of names, as wide as the widest with its meaning beside it
	out     strings.Builder
	text    string      // of a paragraph or an item
	entries [][2]string // names with their meanings
	grammar []string
	example bool // whether examples go on
}

// item begins an item of a list.
var item = pattern.Of(`^(?:  )?- \S`)

// named is a name with its meaning, or what goes on below a longer name.
var named = pattern.Of(`^  (\S+(?: \S+)*?)(?: {2,}(\S.*))?$`)

func (l *layout) line(line string) {
	switch {
	case line == "":
		l.flush()
		l.lines("")
	case strings.HasPrefix(line, "\t"):
		l.grammar = append(l.grammar, line[1:])
	case strings.HasPrefix(line, "    ") && (l.example || l.idle()):
		l.example = true
		l.lines(line)
	case item().MatchString(line):
		l.flush()
		l.text = strings.TrimSpace(line)
	case strings.HasPrefix(line, "   ") && len(l.entries) > 0:
		last := &l.entries[len(l.entries)-1]
		last[1] = strings.TrimSpace(last[1] + " " + strings.TrimSpace(line))
	case named().MatchString(line) && l.text == "" || len(l.entries) > 0 && named().MatchString(line):
		m := named().FindStringSubmatch(line)
		l.entries = append(l.entries, [2]string{m[1], m[2]})
	case named().MatchString(line) && !strings.HasPrefix(l.text, "- "):
		l.flush()
		l.line(line)
	case len(l.entries) > 0 || len(l.grammar) > 0:
		l.flush()
		l.text = line
	default:
		l.text = strings.TrimSpace(l.text + " " + strings.TrimSpace(line))
	}
}

func (l *layout) idle() bool { return l.text == "" && len(l.entries) == 0 && len(l.grammar) == 0 }

func (l *layout) lines(lines ...string) {
	for _, line := range lines {
		l.out.WriteString(line + "\n")
	}
}

// flush lays out what was collected.
func (l *layout) flush() {
	switch {
	case len(l.entries) > 0:
		l.table()
	case len(l.grammar) > 0:
		l.keys()
	case strings.HasPrefix(l.text, "- "):
		l.lines(doc.Wrap("  "+l.text, l.width, "  ")...)
	case l.text != "":
		l.lines(doc.Wrap(l.text, l.width, "")...)
	}
	l.text, l.entries, l.grammar, l.example = "", nil, nil, false
}

// table lays names out with their meanings beside them, or below long ones.
func (l *layout) table() {
	for _, e := range l.entries {
		name := "  " + e[0]
		if n := utf8.RuneCountInString(e[0]); n > l.column || e[1] == "" {
			l.lines(name)
			if name = ""; e[1] == "" {
				continue
			}
		}
		for _, line := range doc.Wrap(e[1], l.width-l.column-4, "") {
			l.lines(name + strings.Repeat(" ", l.column+4-utf8.RuneCountInString(name)) + line)
			name = ""
		}
	}
}

// keys keeps a grammar as it is written where it is narrow enough, and else folds
// its meanings.
func (l *layout) keys() {
	fits := true
	for _, line := range l.grammar {
		fits = fits && utf8.RuneCountInString(line) <= l.width
	}
	if fits {
		l.lines(l.grammar...)
		return
	}
	var open string
	for _, line := range append(l.grammar, "") {
		if leading(line) > deepestKey {
			open += " " + strings.TrimSpace(line)
			continue
		}
		l.key(open)
		open = line
	}
}

// key folds one line of a grammar, with what goes on.
func (l *layout) key(line string) {
	if line == "" {
		return
	}
	name, means, _ := strings.Cut(line[leading(line):], "  ")
	name = line[:leading(line)] + name
	if beside := utf8.RuneCountInString(name)+1 < meaningAt; means == "" || !beside {
		l.lines(doc.Wrap(name, l.width, strings.Repeat(" ", meaningAt-leading(name)))...)
		name = ""
	}
	if means = strings.TrimSpace(means); means == "" {
		return
	}
	for _, line := range doc.Wrap(means, l.width-meaningAt, "") {
		l.lines(name + strings.Repeat(" ", meaningAt-utf8.RuneCountInString(name)) + line)
		name = ""
	}
}

func leading(s string) int { return len(s) - len(strings.TrimLeft(s, " ")) }
