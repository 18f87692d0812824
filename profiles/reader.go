package profiles

import (
	"fmt"
	"io/fs"
	"strconv"
	"strings"
	"unicode/utf8"

	"choirloft/profiles/unit"

	"gopkg.in/yaml.v3"
)

// A reader walks the nodes of one file. It collects faults instead of
// stopping at the first.
type reader struct {
	file    string // as faults name it
	files   fs.FS  // where profile files are found; nil for nowhere
	middleC MiddleC
	faults  Faults
	// given records where values were written, under their path in the rig;
	// prefix is the rig's path of what a profile file describes. A nil map
	// records nothing.
	given  map[string]Pos
	prefix string
	// refused are the keys of maps that could not be read, by their paths.
	refused map[string]bool
	// profiles are the profile files of the user's that were read, each once.
	profiles []profileFile
	// trial counts the faults of a tree, to compare changes of a text that is not YAML;
	// nil takes all trees for equal.
	trial func(*yaml.Node) int
}

type profileFile struct {
	path string
	data []byte
}

// complaint is a fault without its place.
type complaint struct{ message, hint string }

func complain(format string, args ...any) *complaint {
	return &complaint{message: fmt.Sprintf(format, args...)}
}

func (c *complaint) advise(format string, args ...any) *complaint {
	c.hint = fmt.Sprintf(format, args...)
	return c
}

// didYouMean adds the nearest of the names as a hint, if one is near enough.
func (c *complaint) didYouMean(found string, names []string) *complaint {
	if hint := unit.DidYouMean(found, names); hint != "" {
		c.hint = hint
	}
	return c
}

// orAdvise gives advice where there is none yet.
func (c *complaint) orAdvise(hint string) *complaint {
	if c.hint == "" {
		c.hint = hint
	}
	return c
}

func (r *reader) pos(n *yaml.Node) Pos { return Pos{r.file, n.Line, n.Column} }

func (r *reader) fault(n *yaml.Node, at string, c *complaint) {
	r.faultAt(r.pos(n), at, c)
}

func (r *reader) faultAt(pos Pos, at string, c *complaint) {
	r.faults = append(r.faults, Fault{Pos: pos, Path: at, Message: c.message, Hint: c.hint})
}

// refuse records that a key of a map was refused: what refers to it is not at fault.
func (r *reader) refuse(at string) {
	if r.refused == nil {
		r.refused = map[string]bool{}
	}
	r.refused[at] = true
}

// note records that the value at a path was written, and where.
func (r *reader) note(n *yaml.Node, at string) {
	if r.given == nil {
		return
	}
	if r.prefix != "" {
		at = r.prefix + "." + at
	}
	r.given[at] = r.pos(n)
}

// written is a scalar as it stands in the file.
type written struct {
	text   string
	quoted bool
}

func scalarOf(n *yaml.Node) written {
	const quotes = yaml.DoubleQuotedStyle | yaml.SingleQuotedStyle | yaml.LiteralStyle | yaml.FoldedStyle
	return written{n.Value, n.Style&quotes != 0}
}

// isNothing tells whether a value was left out or written as null.
func isNothing(n *yaml.Node) bool {
	return n.Kind == yaml.ScalarNode && n.Tag == "!!null" && !scalarOf(n).quoted
}

// describe says what a node is, for messages.
func describe(n *yaml.Node) string {
	switch {
	case n.Kind == yaml.SequenceNode:
		return "a list"
	case n.Kind == yaml.MappingNode:
		return "a map"
	case isNothing(n):
		return "nothing"
	}
	return quote(n.Value)
}

// longest is how much of a user's text a message or a path repeats, in
// characters.
const longest = 40

func shorten(s string) string {
	if utf8.RuneCountInString(s) <= longest {
		return s
	}
	return string([]rune(s)[:longest]) + "…"
}

func quote(s string) string { return strconv.Quote(shorten(s)) }

// join adds a key to a path; keys that do not look like names are quoted.
func join(at, key string) string {
	if strings.ContainsAny(key, " .\n\t[]:\"") || key == "" || !utf8.ValidString(key) {
		key = quote(key)
	}
	key = shorten(key)
	if at == "" {
		return key
	}
	return at + "." + key
}

// index adds the place in a list, counted from 0, to a path.
func index(at string, i int) string { return at + "[" + strconv.Itoa(i) + "]" }

// lookup returns the key and value nodes of the first entry with that key.
func lookup(n *yaml.Node, key string) (k, v *yaml.Node) {
	for i := 0; i+1 < len(n.Content); i += 2 {
		if c := n.Content[i]; c.Kind == yaml.ScalarNode && c.Value == key {
			return c, n.Content[i+1]
		}
	}
	return nil, nil
}
