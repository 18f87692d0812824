package profiles

import (
	"bytes"
	"slices"
	"strconv"
	"strings"

	"gopkg.in/yaml.v3"
)

// slot is an entry of a map or a list.
type slot struct {
	of *yaml.Node
	at int // of its key, or of itself in a list, among what stands in of
}

// value is what stands at a place.
func (p slot) value() *yaml.Node { return p.of.Content[p.at+p.step()-1] }

// step is how many nodes an entry takes.
func (p slot) step() int {
	if p.of.Kind == yaml.MappingNode {
		return 2
	}
	return 1
}

// find is the way to what stands at a path, from the top; nil where there is nothing.
func (e *editor) find(path []string) (way []slot) {
	at := e.root
	for _, key := range path {
		p := slot{at, -1}
		switch at.Kind {
		case yaml.MappingNode:
			if k, _ := lookup(at, key); k != nil {
				p.at = slices.Index(at.Content, k)
			}
		case yaml.SequenceNode:
			if i, err := strconv.Atoi(strings.Trim(key, "[]")); err == nil && i < len(at.Content) {
				p.at = i
			}
		}
		if p.at < 0 {
			return nil
		}
		way, at = append(way, p), p.value()
	}
	return way
}

// rename puts another key in the place of one.
func (e *editor) rename(s Setting) error {
	way := e.find(s.Path)
	if len(way) == 0 || way[len(way)-1].of.Kind != yaml.MappingNode {
		return errLayout
	}
	last := way[len(way)-1]
	return e.replace(last.of.Content[last.at], s.Text)
}

// take takes out what stands at a path, and what would be empty without it.
func (e *editor) take(path []string) error {
	way := e.find(path)
	for len(way) > 1 && len(way[len(way)-1].of.Content) == way[len(way)-1].step() {
		way = way[:len(way)-1]
	}
	if len(way) == 0 {
		return errLayout
	}
	p := way[len(way)-1]
	end, err := e.end(p.value())
	if err != nil {
		return err
	}
	if e.isFlow(p.of) {
		return e.takeFlow(p, end)
	}
	return e.takeLines(p, end)
}

// takeFlow takes an entry out of brackets, with one comma.
func (e *editor) takeFlow(p slot, end int) (err error) {
	from := e.start(p.of.Content[p.at])
	if next := p.at + p.step(); next < len(p.of.Content) {
		end = e.start(p.of.Content[next])
	} else if p.at > 0 {
		if from, err = e.end(p.of.Content[p.at-1]); err != nil {
			return err
		}
	}
	kept := ""
	for _, comment := range e.comments(from, end) {
		kept += " " + comment + e.eol + strings.Repeat(" ", e.root.Column+1)
	}
	e.edits = append(e.edits, splice{from, end, kept})
	return nil
}

// takeLines takes the lines of an entry out, all but their comments.
func (e *editor) takeLines(p slot, end int) error {
	first := p.of.Content[p.at]
	from := e.start(first)
	line := e.lines[first.Line-1]
	before := strings.TrimRight(string(e.data[line:from]), " ")
	if p.step() == 1 { // in a list
		before = strings.TrimRight(strings.TrimSuffix(before, "-"), " ")
	}
	next := p.at + p.step()
	switch {
	case before == "":
	case next < len(p.of.Content): // the next entry takes its place behind the dash
		return e.splice(from, e.start(p.of.Content[next]), "")
	default:
		return errLayout
	}
	kept := ""
	for _, comment := range e.comments(line, e.nextLine(end)) {
		kept += strings.Repeat(" ", p.of.Column-1) + comment + e.eol
	}
	e.edits = append(e.edits, splice{line, e.nextLine(end), kept})
	return nil
}

// comments are those between two bytes, of which the first is in no text in quotes.
func (e *editor) comments(from, to int) (all []string) {
	before := func(i int, signs string) bool { return i == 0 || strings.IndexByte(signs, e.data[i-1]) >= 0 }
	for i := from; i < to; i++ {
		switch c := e.data[i]; {
		case (c == '"' || c == '\'') && before(i, " \t\r\n,:[{"):
			if end, err := e.behindQuotes(i); err == nil {
				i = end - 1
			}
		case c == '#' && before(i, " \t\n"):
			end := to
			if n := bytes.IndexByte(e.data[i:to], '\n'); n >= 0 {
				end = i + n
			}
			all = append(all, strings.TrimRight(string(e.data[i:end]), "\r"))
			i = end
		}
	}
	return all
}

// made is what a file says once a setting is made in it: what the edited text must say. It is nil
// where nothing is left.
func (s Setting) made(n *yaml.Node, path []string) (*yaml.Node, error) {
	if len(path) == 0 {
		if s.Do == Write {
			return textNode(s.Text)
		}
		return nil, nil
	}
	if n == nil || n.Kind == yaml.ScalarNode { // in its place there is a map from now on
		n = &yaml.Node{Kind: yaml.MappingNode, Tag: "!!map"}
	}
	made := *n
	p, err := s.opened(&made, path[0])
	if err != nil {
		return nil, err
	}
	if s.Do == Rename && len(path) == 1 {
		made.Content[p.at], err = textNode(s.Text)
		return &made, err
	}
	value, err := s.made(p.value(), path[1:])
	switch {
	case err != nil:
		return nil, err
	case value != nil:
		made.Content[p.at+p.step()-1] = value
	case len(made.Content) == p.step():
		return nil, nil
	default:
		made.Content = slices.Delete(made.Content, p.at, p.at+p.step())
	}
	return &made, nil
}

// opened is the slot of a key in a map or a list of its own, made where there is none.
func (s Setting) opened(of *yaml.Node, key string) (slot, error) {
	n := len(of.Content)
	way := (&editor{root: of}).find([]string{key})
	of.Content = slices.Clone(of.Content)
	switch {
	case way != nil:
		return way[0], nil
	case s.Do != Write, of.Kind == yaml.SequenceNode && key != "[+]":
		return slot{}, errLayout
	case of.Kind == yaml.SequenceNode:
		of.Content = append(of.Content, nil)
		return slot{of, n}, nil
	}
	name, err := textNode(key)
	of.Content = append(of.Content, name, nil)
	return slot{of, n}, err
}

// textNode is a value as it is written.
func textNode(text string) (*yaml.Node, error) {
	var document yaml.Node
	if err := yaml.Unmarshal([]byte(text), &document); err != nil || len(document.Content) != 1 {
		return nil, errLayout
	}
	return document.Content[0], nil
}

// saysSame tells whether two files say the same, however it is laid out.
func saysSame(a, b *yaml.Node) bool {
	return a != nil && b != nil && a.Kind == b.Kind && a.Value == b.Value && a.ShortTag() == b.ShortTag() &&
		slices.EqualFunc(a.Content, b.Content, saysSame)
}
