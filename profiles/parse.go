package profiles

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"strconv"
	"strings"
	"unicode/utf8"

	"gopkg.in/yaml.v3"

	"choirloft/profiles/pattern"
)

// MaxBytes is the most that a file of text may have, a rig or another that is
// read like one: 1 MiB.
const MaxBytes = 1 << 20

// maxDepth is how deep lists and maps may stand in each other; the grammar
// itself needs six.
const maxDepth = 20

type node = *yaml.Node

// ReadAtMost reads at most a byte more than MaxBytes, so that what is too large
// shows.
func ReadAtMost(from io.Reader) ([]byte, error) { return io.ReadAll(io.LimitReader(from, MaxBytes+1)) }

// reason returns what an operating system says, without the operation and
// the path.
func reason(err error) string {
	var path *fs.PathError
	if errors.As(err, &path) {
		return path.Err.Error()
	}
	return err.Error()
}

// parse returns the top of the only document in data, or nil after having
// said why there is none.
func (r *reader) parse(data []byte, what string) *yaml.Node {
	if pos, c := r.unreadable(data); c != nil {
		r.faultAt(pos, "", c)
		return nil
	}
	documents, err := split(data)
	switch {
	case err != nil:
		line, message := syntaxError(err)
		line = min(max(line, 1), countLines(data))
		if column := leadingTab(data, line); column > 0 {
			r.faultAt(Pos{r.file, line, column}, "", complain("found a tab, want spaces: YAML is indented by nothing else"))
			return nil
		}
		if slip, ok := r.slipOfLayout(data, line); ok {
			r.faultAt(Pos{r.file, slip.line.number, slip.column}, "", slip.c)
			return nil
		}
		r.faultAt(Pos{r.file, line, 1}, "", complain("this is no YAML: %s", message).orAdvise(yamlHints[message]))
		return nil
	case len(documents) == 0 || isNothing(documents[0]):
		r.faultAt(Pos{r.file, 1, 1}, "", complain("the file is empty, want %s", what))
		return nil
	case len(documents) > 1:
		r.fault(documents[1], "", complain("a second document starts here, want one in a file"))
		return nil
	}
	if !r.checkTree(documents[0]) {
		return nil
	}
	return documents[0]
}

// yamlHints are what people mostly did where the parser gives up.
var yamlHints = map[string]string{
	"did not find expected ',' or '}'": "inside {…} each key has a colon, a space and a value, and a comma before the next; a # begins a comment",
	"did not find expected ',' or ']'": "inside […] there is a comma between values; a # begins a comment",
	"could not find expected ':'":      "each key has a colon and a space behind it",
}

// unreadable tells what keeps data from being parsed at all.
func (r *reader) unreadable(data []byte) (Pos, *complaint) {
	if len(data) > MaxBytes {
		return Pos{r.file, 1, 1}, complain("the file has more than %d bytes", MaxBytes)
	}
	line, column := 1, 1
	for len(data) > 0 {
		c, size := utf8.DecodeRune(data)
		switch {
		case c == utf8.RuneError && size == 1:
			return Pos{r.file, line, column}, complain("byte %02Xh is not UTF-8", data[0])
		case c == '\n':
			line, column = line+1, 0
		case c == '\r' && (len(data) < 2 || data[1] != '\n'), c == '\u0085', c == '\u2028', c == '\u2029':
			return Pos{r.file, line, column}, complain("line break U+%04X, want a line feed", c)
		case c < ' ' && c != '\t' && c != '\r', c >= 0x7F && c < 0xA0:
			return Pos{r.file, line, column}, complain("control character U+%04X", c)
		}
		data, column = data[size:], column+1
	}
	return Pos{}, nil
}

// split returns the tops of the first two documents in data.
func split(data []byte) (tops []*yaml.Node, err error) {
	defer func() {
		if p := recover(); p != nil { // a bug of the parser, met by odd input
			err = fmt.Errorf("yaml: %v", p)
		}
	}()
	decoder := yaml.NewDecoder(bytes.NewReader(data))
	for len(tops) < 2 {
		var document yaml.Node
		switch err := decoder.Decode(&document); {
		case errors.Is(err, io.EOF):
			return tops, nil
		case err != nil:
			return nil, err
		}
		tops = append(tops, document.Content[0])
	}
	return tops, nil
}

var yamlError = pattern.Of(`(?s)^yaml: (?:line (\d+): )?(.*)$`)

// syntaxError takes the line and the message from an error of the parser.
func syntaxError(err error) (line int, message string) {
	m := yamlError().FindStringSubmatch(err.Error())
	if m == nil {
		return 1, shorten(err.Error())
	}
	line, _ = strconv.Atoi(m[1])
	if line > 0 && countsFromZero[m[2]] {
		line++
	}
	return line, m[2]
}

// countsFromZero holds the errors that yaml.v3 v3.0.1 counts lines from 0 for:
// those of its parser, while those of its scanner count from 1 (its method
// parser.fail).
var countsFromZero = map[string]bool{
	"did not find expected <document start>": true,
	"did not find expected node content":     true,
	"did not find expected '-' indicator":    true,
	"did not find expected key":              true,
	"did not find expected ',' or ']'":       true,
	"did not find expected ',' or '}'":       true,
	"found undefined tag handle":             true,
}

// countLines returns the number of the last line that has characters.
func countLines(data []byte) int {
	return 1 + strings.Count(strings.TrimSuffix(string(data), "\n"), "\n")
}

// checkTree refuses what the grammar has no use for, wherever it stands:
// aliases, anchors, merge keys, tags, duplicate keys, and depth. It returns
// false where the tree is too deep to be read.
func (r *reader) checkTree(n *yaml.Node) bool { return r.checkNode(n, "", 1) }

func (r *reader) checkNode(n *yaml.Node, at string, depth int) bool {
	if depth > maxDepth {
		r.fault(n, at, complain("nested more than %d deep", maxDepth))
		return false
	}
	switch {
	case n.Kind == yaml.AliasNode:
		r.fault(n, at, complain("found the alias *%s, aliases are not allowed", shorten(n.Value)).advise("write the value again"))
		return true
	case n.Anchor != "":
		r.fault(n, at, complain("found the anchor &%s, anchors are not allowed", shorten(n.Anchor)))
	}
	if n.Style&yaml.TaggedStyle != 0 {
		r.fault(n, at, complain("found the tag %s, tags are not allowed", shorten(n.Tag)))
	}
	switch n.Kind {
	case yaml.SequenceNode:
		return r.checkList(n, at, depth)
	case yaml.MappingNode:
		return r.checkMap(n, at, depth)
	}
	return true
}

func (r *reader) checkList(n *yaml.Node, at string, depth int) bool {
	for i, item := range n.Content {
		if !r.checkNode(item, index(at, i), depth+1) {
			return false
		}
	}
	return true
}

func (r *reader) checkMap(n *yaml.Node, at string, depth int) bool {
	lines := map[string]int{}
	for i := 0; i+1 < len(n.Content); i += 2 {
		key, value := n.Content[i], n.Content[i+1]
		if key.Tag == "!!merge" {
			r.fault(key, at, complain("found <<, merge keys are not allowed").advise("write the values again"))
		} else if !r.checkNode(key, at, depth+1) {
			return false
		}
		where := at
		if key.Kind == yaml.ScalarNode {
			where = join(at, key.Value)
			if line, ok := lines[key.Value]; ok {
				r.fault(key, where, complain("%s stands here already, in line %d", quote(key.Value), line))
			} else {
				lines[key.Value] = key.Line
			}
		}
		if !r.checkNode(value, where, depth+1) {
			return false
		}
	}
	return true
}
