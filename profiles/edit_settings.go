package profiles

import (
	"bytes"
	"io/fs"
	"slices"
	"strconv"
	"strings"

	"gopkg.in/yaml.v3"
)

// Setting is a value of a rig file at a path, such as parts, pad, pick. An entry of a list is
// [1], counted from 0, and [+] is one more behind its last. Text is
// the value as it is written. Note is a comment on an entry that is not there yet: it
// stands behind it, or at the end of the file where the entry is in brackets.
type Setting struct {
	Path []string
	Text string
	Note string
	Do   Doing
}

// Doing is what a setting does at its path.
type Doing uint8

const (
	Write  Doing = iota // the value, in place of what is there or beside it
	Remove              // what is there. A map or a list that would be left empty goes with it; comments stay
	Rename              // Text is the last key of the path from now on
)

// byHand says what somebody writes who does it himself.
func (s Setting) byHand() string {
	at := strings.Join(s.Path, ".")
	switch s.Do {
	case Remove:
		return "take this out by hand: " + at
	case Rename:
		return "name this anew by hand: " + at + ", to " + s.Text
	}
	return "write this by hand: " + at + ": " + s.Text
}

// LayoutError is a file in which a setting cannot be made without the loss of a comment, or
// whose layout the editor does not know.
type LayoutError struct{ Why, ByHand string }

func (e *LayoutError) Error() string { return e.Why + "; " + e.ByHand }

// WithSettings returns a rig file's data with these values written in: in place
// of what is there, or beside it; or taken out, or under other keys. Nothing else changes: every other byte stays,
// comments, order, spaces and line ends among them. The result has been read
// again and is a rig: it says what was set, and else what it said before.
// Where the file is laid out so that this would cost a comment, or in
// a way that the edit does not know, the error is a *[LayoutError]; where it would be no rig, [Faults].
func WithSettings(name string, data []byte, settings []Setting, files fs.FS) ([]byte, *Rig, error) {
	mark := data[:len(data)-len(bytes.TrimPrefix(data, []byte("\uFEFF")))]
	text := data[len(mark):]
	for _, s := range settings { // one by one: a later one may stand in what an earlier one has made
		var err error
		if text, err = s.edit(text); err != nil {
			return nil, nil, &LayoutError{err.Error(), s.byHand()}
		}
	}
	edited := append(slices.Clone(mark), text...)
	rig, faults := Read(name, edited, files)
	if len(faults) > 0 {
		return nil, nil, faults
	}
	return edited, rig, nil
}

// edit makes one setting, and compares what the text says then with what it should.
func (s Setting) edit(text []byte) ([]byte, error) {
	e, err := newEditor(text)
	if err != nil {
		return nil, err
	}
	want, err := s.made(e.root, s.Path)
	if err != nil {
		return nil, err
	}
	switch s.Do {
	case Remove:
		err = e.take(s.Path)
	case Rename:
		err = e.rename(s)
	default:
		err = e.set(s)
	}
	if err != nil {
		return nil, err
	}
	if text, err = e.apply(); err != nil {
		return nil, err
	}
	after, err := newEditor(text)
	if err != nil || !saysSame(want, after.root) {
		return nil, errLayout
	}
	return text, nil
}

// Leaves are all single values of a file, in order: each at its path, and as it reads.
func Leaves(data []byte) (leaves []Setting, err error) {
	e, err := newEditor(bytes.TrimPrefix(data, []byte("\uFEFF")))
	if err != nil {
		return nil, err
	}
	var walk func(n *yaml.Node, path []string)
	walk = func(n *yaml.Node, path []string) {
		if len(n.Content) == 0 {
			leaves = append(leaves, Setting{Path: path, Text: n.Value})
		}
		for p := (slot{n, 0}); p.at < len(n.Content); p.at += p.step() {
			key := "[" + strconv.Itoa(p.at) + "]"
			if n.Kind == yaml.MappingNode {
				key = n.Content[p.at].Value
			}
			walk(p.value(), append(slices.Clip(path), key))
		}
	}
	walk(e.root, nil)
	return leaves, nil
}

// FieldsOf are the fields of a map at a path of a file, each with its key for a path
// and its value as it stands there, on one line.
func FieldsOf(data []byte, path ...string) (fields []Setting, err error) {
	e, at, err := editorAt(data, path)
	if err != nil {
		return nil, err
	}
	for i := 0; i+1 < len(at.Content); i += 2 {
		text, err := e.line(at.Content[i+1])
		if err != nil {
			return nil, err
		}
		fields = append(fields, Setting{Path: []string{at.Content[i].Value}, Text: text})
	}
	return fields, nil
}

// Items are the entries of a list at a path of a file as they stand there, each on one line; of
// a single value that one.
func Items(data []byte, path ...string) (items []string, err error) {
	e, at, err := editorAt(data, path)
	if err != nil {
		return nil, err
	}
	list := []*yaml.Node{at}
	if at.Kind == yaml.SequenceNode {
		list = at.Content
	}
	for _, n := range list {
		text, err := e.line(n)
		if err != nil {
			return nil, err
		}
		items = append(items, text)
	}
	return items, nil
}

// editorAt is an editor of a file, and what stands at a path of it.
func editorAt(data []byte, path []string) (*editor, *yaml.Node, error) {
	e, err := newEditor(bytes.TrimPrefix(data, []byte("\uFEFF")))
	if err != nil {
		return nil, nil, err
	}
	at := e.root
	for _, key := range path {
		if at = under(at, key); at == nil {
			return nil, nil, errLayout
		}
	}
	return e, at, nil
}

// under is what stands under a key of a map, or at a place of a list; nil for nothing.
func under(n *yaml.Node, key string) (value *yaml.Node) {
	if n.Kind != yaml.SequenceNode {
		_, value = lookup(n, key)
		return value
	}
	at, err := strconv.Atoi(strings.Trim(key, "[]"))
	if err != nil || at >= len(n.Content) {
		return nil
	}
	return n.Content[at]
}

// line is a value on one line: a map of several in brackets.
func (e *editor) line(n *yaml.Node) (string, error) {
	if n.Kind == yaml.MappingNode && !e.isFlow(n) {
		var texts []string
		for i := 0; i+1 < len(n.Content); i += 2 {
			text, err := e.line(n.Content[i+1])
			if err != nil {
				return "", err
			}
			texts = append(texts, n.Content[i].Value+": "+text)
		}
		return "{" + strings.Join(texts, ", ") + "}", nil
	}
	end, err := e.end(n)
	if err != nil {
		return "", err
	}
	text := string(e.data[e.start(n):end])
	if strings.ContainsAny(text, "\n#") {
		return "", errLayout
	}
	return text, nil
}

// set writes one value. Maps that are not there are made, on one line.
func (e *editor) set(s Setting) error {
	at := e.root
	for i, key := range s.Path {
		value := under(at, key)
		rest := s.Path[i+1:]
		switch {
		case key == "[+]" && at.Kind == yaml.SequenceNode:
			return e.append(at, nested(rest, s.Text))
		case value == nil:
			text := nested(rest, s.Text)
			if at == e.root && !e.isFlow(at) {
				e.atEnd(key+":", []string{nestedEntry(rest, s.Text) + noted(s.Note)})
				return nil
			}
			if !e.isFlow(at) {
				return e.add(at, []string{key + ": " + text + noted(s.Note)}, false)
			}
			if s.Note != "" {
				e.atEnd("# "+strings.Join(s.Path, ".")+": "+s.Note, nil)
			}
			return e.add(at, []string{key + ": " + text}, false)
		case len(rest) == 0:
			return e.replace(value, s.Text)
		case value.Kind != yaml.MappingNode && (value.Kind != yaml.SequenceNode || !strings.HasPrefix(rest[0], "[")):
			return e.replace(value, nested(rest, s.Text))
		}
		at = value
	}
	return nil
}

// append puts an entry behind the last one of a list that has some.
func (e *editor) append(list *yaml.Node, text string) error {
	last := list.Content[len(list.Content)-1]
	end, err := e.end(last)
	switch {
	case err != nil:
		return err
	case e.isFlow(list):
		return e.splice(end, end, ", "+text)
	}
	at, lead := e.nextLine(end), ""
	if at == len(e.data) && !bytes.HasSuffix(e.data, []byte("\n")) {
		lead = e.eol
	}
	dash := e.start(last)
	for dash > 0 && e.data[dash] != '-' {
		dash--
	}
	begin := e.lines[last.Line-1]
	if dash < begin {
		return errLayout
	}
	return e.splice(at, at, lead+strings.Repeat(" ", dash-begin)+"- "+text+e.eol)
}

// noted is a comment behind an entry.
func noted(note string) string {
	if note == "" {
		return ""
	}
	return "  # " + note
}

// nested writes a value inside the maps that lead to it.
func nested(path []string, text string) string {
	for _, key := range slices.Backward(path) {
		text = "{" + key + ": " + text + "}"
	}
	return text
}

// nestedEntry is the same, but for the first map: what stands under it.
func nestedEntry(path []string, text string) string {
	if len(path) == 0 {
		return text
	}
	return path[0] + ": " + nested(path[1:], text)
}
