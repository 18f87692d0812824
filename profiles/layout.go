package profiles

import (
	"bytes"
	"fmt"
	"slices"
	"strings"

	"gopkg.in/yaml.v3"

	"choirloft/profiles/pattern"
	"choirloft/profiles/unit"
)

// Where a file is no YAML, the line at fault is found by trial: the parser names the
// line where it gives up, which is often a later one. Lines up to there are changed
// one at a time, as people get them wrong, and the change after which the file reads
// best says what is wrong.

// textLine is a line of a file that is not YAML.
type textLine struct {
	number int    // from 1
	indent int    // spaces before the text
	text   string // without a comment and the spaces round it
	inside bool   // begins inside {…} or […]
}

// repair is a line changed, and what is said if that mends the file.
type repair struct {
	line    *textLine
	changed string
	column  int // where the fault is, from 1
	c       *complaint
}

// What is tried: lines near the one where the parser gives up, in a file of a usual
// size, and so many changes of them at most; of a long file fewer, so that no more than
// so many bytes are read in all, a tenth of a second's.
const (
	mostAway       = 60
	mostTriedBytes = 32 << 10
	mostTried      = 150
	mostReadBytes  = 600 << 10
)

// slipOfLayout finds the line at fault in a file that the parser gave up in a line;
// ok is false where no change of one line helps.
func (r *reader) slipOfLayout(data []byte, gaveUp int) (found repair, ok bool) {
	if len(data) > mostTriedBytes {
		return found, false
	}
	raw := strings.SplitAfter(string(data), "\n")
	lines := textLines(raw)
	columns := map[int]int{} // how many lines begin there
	var tries []repair
	for i := range lines {
		columns[lines[i].indent]++
		if l := &lines[i]; !l.inside && max(l.number-gaveUp, gaveUp-l.number) <= mostAway {
			tries = append(tries, slices.Concat(colons(&lines[i]), indents(lines, i))...)
		}
	}
	away := func(p repair) int { return max(p.line.number-gaveUp, gaveUp-p.line.number) }
	slices.SortStableFunc(tries, func(a, b repair) int { return away(a) - away(b) })
	best, odd := r.reads(data), 0
	for _, try := range tries[:min(len(tries), mostTried, mostReadBytes/max(1, len(data)))] {
		changed := slices.Clone(raw)
		changed[try.line.number-1] = try.changed + "\n"
		rank, common := r.reads([]byte(strings.Join(changed, ""))), try.commoner(columns)
		if rank < best || ok && rank == best && common > odd {
			best, odd, found, ok = rank, common, try, true
		}
	}
	return found, ok
}

// commoner ranks changes that are equal otherwise: by how many more lines begin where
// the line would than where it does, and columns of two before others. A colon goes
// before all of these.
func (p *repair) commoner(columns map[int]int) int {
	column := len(p.changed) - len(strings.TrimLeft(p.changed, " "))
	if column == p.line.indent {
		return 1 << 30
	}
	return 2*(columns[column]-columns[p.line.indent]) - column%2
}

// notYAML ranks what is not YAML behind all that is, by how far the parser came.
const notYAML = 1 << 30

// reads ranks how well data reads, the least best: by its faults, if it is YAML.
func (r *reader) reads(data []byte) int {
	documents, err := split(data)
	switch {
	case err != nil:
		line, _ := syntaxError(err)
		return notYAML - line
	case len(documents) != 1 || r.trial == nil:
		return 0
	}
	return r.trial(documents[0])
}

// textLines are the lines that have text, without comments.
func textLines(raw []string) (all []textLine) {
	depth := 0
	for i, line := range raw {
		text := strings.TrimRight(line, " \r\n")
		l := textLine{number: i + 1, indent: len(text) - len(strings.TrimLeft(text, " ")), inside: depth > 0}
		l.text = strings.TrimSpace(text)
		if at := strings.Index(" "+l.text, " #"); at >= 0 {
			l.text = strings.TrimSpace(l.text[:max(0, at-1)])
		}
		if l.text == "" {
			continue
		}
		depth = max(0, depth+strings.Count(l.text, "{")+strings.Count(l.text, "[")-strings.Count(l.text, "}")-strings.Count(l.text, "]"))
		all = append(all, l)
	}
	return all
}

var (
	noSpaceForm   = pattern.Of(`^([\p{L}_][\p{L}\p{M}0-9_.-]*):([^ ].*)$`)
	noColonForm   = pattern.Of(`^([\p{L}_][\p{L}\p{M}0-9_.-]*)(?: +([^:]+|[{\[].*))?$`)
	behindForm    = pattern.Of(`^([^:\[\]{}]+: *\[[^\[\]]*)\]( *,.*)$`)
	twoColonsForm = pattern.Of(`^([^:\[\]{}"']+): +([^\[{"'].*: .*)$`)
)

// colons are changes within a line: of a colon, a space or a bracket.
func colons(l *textLine) (all []repair) {
	add := func(text string, column int, c *complaint) {
		all = append(all, repair{l, strings.Repeat(" ", l.indent) + text, l.indent + column, c})
	}
	write := func(text string, c *complaint) *complaint { return c.advise("write %s", shorten(text)) }
	if m := noSpaceForm().FindStringSubmatch(l.text); m != nil {
		text := m[1] + ": " + m[2]
		add(text, len(m[1])+1, write(text, complain("%s has no space behind its colon", code(l.text))))
	}
	if m := noColonForm().FindStringSubmatch(l.text); m != nil {
		text := strings.TrimSpace(m[1] + ": " + m[2])
		add(text, 1, write(text, complain("%s has no colon", code(l.text))))
	}
	if m := behindForm().FindStringSubmatch(l.text); m != nil {
		text := m[1] + m[2] + "]"
		add(text, len(m[1])+2, write(text, complain("%s stands behind the ]", code(strings.TrimLeft(m[2], " ,")))))
	}
	if m := twoColonsForm().FindStringSubmatch(l.text); m != nil {
		add(m[1]+`: "`+strings.ReplaceAll(m[2], `"`, `\"`)+`"`, 1, complain("%s has a second colon and space", code(l.text)).
			advise("put the value in quotes, or the second key on a line of its own"))
	}
	if dashed, ok := strings.CutPrefix(l.text, "- "); ok {
		add(dashed, 1, write(dashed, complain("%s begins with a dash", code(l.text))))
	}
	end := func(with string, c *complaint) { // what is missing at the end must be seen
		text := l.text + with
		if shorten(text) == text {
			write(text, c)
		} else {
			last := []rune(text)
			c.advise("end it with …%s", string(last[len(last)-longest/2:]))
		}
		add(text, 1, c)
	}
	if strings.Count(l.text, `"`)%2 == 1 {
		end(`"`, complain("%s has a quote that nothing closes", code(l.text)))
	}
	for _, pair := range []string{"[]", "{}"} {
		if strings.Count(l.text, pair[:1]) == strings.Count(l.text, pair[1:])+1 {
			end(pair[1:], complain("%s has a %s that nothing closes", code(l.text), pair[:1]))
		}
	}
	return all
}

// indents move a line under those round it, the nearest column first.
func indents(lines []textLine, i int) (all []repair) {
	l := &lines[i]
	var columns []int
	as := map[int]*textLine{} // the nearest line that begins there
	for away := 1; away <= 40; away++ {
		for _, at := range []int{i - away, i + away} {
			if 0 <= at && at < len(lines) && !lines[at].inside && as[lines[at].indent] == nil {
				as[lines[at].indent] = &lines[at]
				columns = append(columns, lines[at].indent)
			}
		}
	}
	slices.SortStableFunc(columns, func(a, b int) int { return max(a-l.indent, l.indent-a) - max(b-l.indent, l.indent-b) })
	for _, column := range columns {
		if column != l.indent {
			all = append(all, repair{l, strings.Repeat(" ", column) + l.text, l.indent + 1, misplaced(lines, i, as[column])})
		}
	}
	if i > 0 && lines[i-1].indent == l.indent && strings.HasSuffix(lines[i-1].text, ":") {
		all = append(all, repair{l, strings.Repeat(" ", l.indent+2) + l.text, l.indent + 1, misplaced(lines, i, nil)})
	}
	return all
}

// misplaced says that a line should begin as another does, or under the one above.
func misplaced(lines []textLine, i int, like *textLine) *complaint {
	l := &lines[i]
	column := l.indent + 2
	if like != nil {
		column = like.indent
	}
	want := "begin it with " + spaces(column)
	if like != nil {
		want += fmt.Sprintf(", as line %d does", like.number)
	}
	if column > l.indent && i > 0 && lines[i-1].indent == l.indent && strings.HasSuffix(lines[i-1].text, ":") {
		return complain("%s stands as far left as %s", code(l.text), code(lines[i-1].text)).advise("%s", want)
	}
	return complain("%s begins with %s", code(l.text), spaces(l.indent)).advise("%s", want)
}

func spaces(n int) string {
	if n == 0 {
		return "no space"
	}
	return unit.Count(n, "space")
}

func code(text string) string { return "`" + shorten(text) + "`" }

// leadingTab returns the column of the first tab before the text of a line, 0
// where there is none. YAML 1.2.2, 6.1: indentation is of spaces alone.
func leadingTab(data []byte, line int) (column int) {
	for range line - 1 {
		_, data, _ = bytes.Cut(data, []byte("\n"))
	}
	for i, c := range data {
		switch c {
		case '\t':
			return i + 1
		case ' ':
		default:
			return 0
		}
	}
	return 0
}

// faultsOf counts what is wrong with a rig whose text may be changed on trial.
func faultsOf(root *yaml.Node) int {
	r := &reader{middleC: C4}
	if r.checkTree(root) {
		rigShape.read(r, root, "")
	}
	return len(r.faults)
}
