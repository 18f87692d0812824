package profiles

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"gopkg.in/yaml.v3"
)

// editor gathers changes to the bytes of a file, which it finds by the nodes
// that were read from them. The parser says where a node begins; where it ends
// is found here.
type editor struct {
	data  []byte
	lines []int // where each line begins
	root  *yaml.Node
	eol   string
	edits []splice
}

// splice puts text in the place of some bytes.
type splice struct {
	from, to int
	text     string
}

// errLayout is a value that is laid out in a way the editor does not know.
var errLayout = errors.New("the file is laid out in a way that cannot be edited")

func newEditor(data []byte) (*editor, error) {
	documents, err := split(data)
	if err != nil || len(documents) != 1 || documents[0].Kind != yaml.MappingNode {
		return nil, errLayout
	}
	e := &editor{data: data, lines: []int{0}, root: documents[0], eol: "\n"}
	for i, c := range data {
		if c == '\n' {
			e.lines = append(e.lines, i+1)
		}
	}
	if bytes.Contains(data, []byte("\r\n")) {
		e.eol = "\r\n"
	}
	return e, nil
}

// start is where a node begins.
func (e *editor) start(n *yaml.Node) int {
	at := e.lines[n.Line-1]
	for range n.Column - 1 {
		_, size := utf8.DecodeRune(e.data[at:])
		at += size
	}
	return at
}

// isFlow tells whether a map or a list stands in brackets.
func (e *editor) isFlow(n *yaml.Node) bool { return n.Style&yaml.FlowStyle != 0 }

// end is where a node ends: behind its last character.
func (e *editor) end(n *yaml.Node) (int, error) {
	at := e.start(n)
	switch {
	case n.Kind == yaml.ScalarNode && n.Style&(yaml.DoubleQuotedStyle|yaml.SingleQuotedStyle) != 0:
		return e.behindQuotes(at)
	case n.Kind == yaml.ScalarNode && n.Style == 0 && n.Value != "" && bytes.HasPrefix(e.data[at:], []byte(n.Value)):
		return at + len(n.Value), nil
	case e.isFlow(n):
		return e.behindBrackets(at)
	case len(n.Content) > 0:
		return e.end(n.Content[len(n.Content)-1])
	}
	return 0, errLayout
}

// behindQuotes is behind a quoted text that begins at a byte.
func (e *editor) behindQuotes(at int) (int, error) {
	quote := e.data[at]
	for i := at + 1; i < len(e.data); i++ {
		switch c := e.data[i]; {
		case c == '\\' && quote == '"':
			i++
		case c == quote && quote == '\'' && i+1 < len(e.data) && e.data[i+1] == quote:
			i++
		case c == quote:
			return i + 1, nil
		}
	}
	return 0, errLayout
}

// behindBrackets is behind the bracket that closes the one at a byte.
func (e *editor) behindBrackets(at int) (int, error) {
	depth := 0
	for i := at; i < len(e.data); i++ {
		switch c := e.data[i]; {
		case c == '{' || c == '[':
			depth++
		case c == '}' || c == ']':
			if depth--; depth == 0 {
				return i + 1, nil
			}
		case (c == '"' || c == '\'') && bytes.IndexByte([]byte(" \t\r\n,:[{"), e.data[i-1]) >= 0:
			end, err := e.behindQuotes(i)
			if err != nil {
				return 0, err
			}
			i = end - 1
		case c == '#' && bytes.IndexByte([]byte(" \t\n"), e.data[i-1]) >= 0:
			for i+1 < len(e.data) && e.data[i+1] != '\n' {
				i++
			}
		}
	}
	return 0, errLayout
}

// splice notes a change. It never takes a comment away.
func (e *editor) splice(from, to int, text string) error {
	if all := e.comments(from, to); len(all) > 0 {
		at := from + bytes.Index(e.data[from:to], []byte(all[0]))
		return fmt.Errorf("a comment in line %d is in the way", 1+bytes.Count(e.data[:at], []byte("\n")))
	}
	e.edits = append(e.edits, splice{from, to, text})
	return nil
}

// replace puts a text in the place of a value, unless it stands there already.
func (e *editor) replace(value *yaml.Node, text string) error {
	end, err := e.end(value)
	if err != nil {
		return err
	}
	return e.splice(e.start(value), end, text)
}

// remove takes an entry out of a map.
func (e *editor) remove(of, key *yaml.Node) error {
	i := slices.Index(of.Content, key)
	end, err := e.end(of.Content[i+1])
	if err != nil {
		return err
	}
	from := e.start(key)
	switch {
	case !e.isFlow(of):
		from, end = e.lines[key.Line-1], e.nextLine(end)
	case i > 0:
		if from, err = e.end(of.Content[i-1]); err != nil {
			return err
		}
	case len(of.Content) > 2:
		end = e.start(of.Content[2])
	}
	return e.splice(from, end, "")
}

// nextLine is where the line after that of a byte begins.
func (e *editor) nextLine(at int) int {
	if i := bytes.IndexByte(e.data[at:], '\n'); i >= 0 {
		return at + i + 1
	}
	return len(e.data)
}

// add puts entries behind the last one of a map. In a map in brackets they
// stand on lines of their own if so wished.
func (e *editor) add(to *yaml.Node, entries []string, ownLines bool) error {
	n := len(to.Content)
	if n == 0 {
		return e.splice(e.start(to)+1, e.start(to)+1, strings.Join(entries, ", "))
	}
	end, err := e.end(to.Content[n-1])
	if err != nil {
		return err
	}
	if e.isFlow(to) {
		between := ", "
		if ownLines {
			between = "," + e.eol + strings.Repeat(" ", e.root.Column+1)
		}
		return e.splice(end, end, between+strings.Join(entries, between))
	}
	indent := strings.Repeat(" ", to.Content[0].Column-1)
	at := e.nextLine(end)
	lead := ""
	if at == len(e.data) && !bytes.HasSuffix(e.data, []byte("\n")) {
		lead = e.eol
	}
	return e.splice(at, at, lead+indent+strings.Join(entries, e.eol+indent)+e.eol)
}

// atEnd puts a map at the end of the file, or before the mark of its end.
func (e *editor) atEnd(key string, entries []string) {
	at := len(e.data)
	for i := len(e.lines) - 1; i >= 0 && e.lines[i] > 0; i-- {
		if bytes.HasPrefix(e.data[e.lines[i]:], []byte("...")) {
			at = e.lines[i]
		}
	}
	lead := ""
	if at > 0 && e.data[at-1] != '\n' {
		lead = e.eol
	}
	indent := strings.Repeat(" ", e.root.Column-1)
	text := lead + e.eol + indent + key + e.eol
	for _, entry := range entries {
		text += indent + "  " + entry + e.eol
	}
	e.edits = append(e.edits, splice{at, at, text})
}

// apply makes all changes.
func (e *editor) apply() ([]byte, error) {
	slices.SortStableFunc(e.edits, func(a, b splice) int { return a.from - b.from })
	var out []byte
	at := 0
	for _, s := range e.edits {
		if s.from < at {
			return nil, errLayout
		}
		out = append(out, e.data[at:s.from]...)
		out = append(out, s.text...)
		at = s.to
	}
	return append(out, e.data[at:]...), nil
}
