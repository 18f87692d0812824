package tuning

import (
	"fmt"
	"slices"
	"strings"

	"gopkg.in/yaml.v3"

	"choirloft/profiles"
)

// ReadYAML reads readings from a list of maps, or from such a list under
// readings. It returns either readings or every fault there is; faults call the
// file name.
func ReadYAML(name string, data []byte, rig *profiles.Rig) ([]Reading, profiles.Faults) {
	root, faults := profiles.Document(name, data, "a list of readings")
	if len(faults) > 0 {
		return nil, faults
	}
	l := &lister{name: name, interpreter: newInterpreter(rig)}
	rows := l.top(root)
	return l.readings(rows)
}

// lister takes rows from nodes.
type lister struct {
	name string
	*interpreter
}

func (l *lister) pos(n *yaml.Node) profiles.Pos {
	return profiles.Pos{File: l.name, Line: n.Line, Column: n.Column}
}

func (l *lister) top(root *yaml.Node) []row {
	if root.Kind == yaml.SequenceNode {
		return l.list(root, nil, "")
	}
	if root.Kind != yaml.MappingNode {
		l.fault(cell{pos: l.pos(root)}, "", "found a single value, want a list of readings")
		return nil
	}
	shared := map[string]cell{}
	var list *yaml.Node
	for i := 0; i+1 < len(root.Content); i += 2 {
		switch key, value := root.Content[i], root.Content[i+1]; key.Value {
		case "readings":
			list = value
		case "date", "reference", "through":
			l.cell(shared, key, value, "")
		default:
			l.fault(cell{pos: l.pos(key), path: shown(key.Value)}, "", "unknown key %q, want readings, date, reference or through", shown(key.Value))
		}
	}
	if list == nil || list.Kind != yaml.SequenceNode {
		l.fault(cell{pos: l.pos(root), path: "readings"}, "", "readings is missing, want a list of readings")
		return nil
	}
	return l.list(list, shared, "readings")
}

func (l *lister) list(n *yaml.Node, shared map[string]cell, path string) (rows []row) {
	if len(n.Content) == 0 {
		l.fault(cell{pos: l.pos(n), path: path}, "", "found no readings")
	}
	for i, item := range n.Content {
		r := row{pos: l.pos(item), path: fmt.Sprintf("%s[%d]", path, i), cells: map[string]cell{}}
		if item.Kind != yaml.MappingNode {
			l.fault(cell{pos: r.pos, path: r.path}, "", "found no map, want a reading such as {voice: K1, key: 60, hertz: 261.6}")
			continue
		}
		for name, c := range shared {
			r.cells[name] = c
		}
		for j := 0; j+1 < len(item.Content); j += 2 {
			l.cell(r.cells, item.Content[j], item.Content[j+1], r.path+".")
		}
		rows = append(rows, r)
	}
	return rows
}

// cell takes one entry of a map.
func (l *lister) cell(into map[string]cell, key, value *yaml.Node, prefix string) {
	path := prefix + shown(key.Value)
	switch {
	case !slices.Contains(columns, key.Value) && path != "through":
		l.fault(cell{pos: l.pos(key), path: path}, "", "unknown key %q, want some of %s", shown(key.Value), strings.Join(columns, ", "))
	case value.Kind != yaml.ScalarNode || value.Tag == "!!null" || value.Value == "":
		l.fault(cell{pos: l.pos(value), path: path}, "", "found no single value for %s", key.Value)
	default:
		into[key.Value] = cell{strings.TrimSpace(value.Value), l.pos(value), path}
	}
}
