package profiles

import (
	"slices"
	"strings"

	"gopkg.in/yaml.v3"
)

// A shape says what a value of the grammar may be, and reads it. Shapes are
// data: see grammar.go for how they are put together. What a shape allows can
// be told from its fields, without reading anything.
type shape interface {
	// read returns the value of a node. It returns false where something is
	// wrong with it, and has then said what; the value is as much of it as
	// could be read, nil for nothing.
	read(r *reader, n *yaml.Node, at string) (any, bool)
	// wants says what is allowed, to stand after "want".
	wants() string
	schema() jsonObject // the same as a JSON Schema
}

// A scalar is a shape without its surroundings: it makes a value of a text.
type scalar interface {
	parse(r *reader, w written) (any, *complaint)
	wants() string
	schema() jsonObject
}

// A keyScalar can be the key of a map.
type keyScalar interface {
	scalar
	keySchema() jsonObject // keys are strings in JSON
}

// leaf is the shape of one scalar.
type leaf struct{ scalar }

func (l leaf) read(r *reader, n *yaml.Node, at string) (any, bool) {
	if n.Kind == yaml.AliasNode {
		return nil, false // said before, by checkTree
	}
	if n.Kind != yaml.ScalarNode || isNothing(n) {
		r.fault(n, at, complain("found %s, want %s", describe(n), l.wants()).orAdvise(l.joined(n)))
		return nil, false
	}
	v, c := l.parse(r, scalarOf(n))
	if c != nil {
		r.fault(n, at, c)
		return nil, false
	}
	return v, true
}

// spot is a value with the place where it was written.
type spot[T any] struct {
	value T
	pos   Pos
	at    string
}

// locate keeps the place of a value; its values are spot[T].
type locate[T any] struct{ of shape }

func (l locate[T]) wants() string { return l.of.wants() }

func (l locate[T]) read(r *reader, n *yaml.Node, at string) (any, bool) {
	v, ok := l.of.read(r, n, at)
	if v == nil {
		return nil, false
	}
	return spot[T]{v.(T), r.pos(n), at}, ok
}

// byKind is a union, told apart by what the node is. Shapes that are nil are
// not allowed.
type byKind struct {
	scalar, list, dict shape
	all                bool // the scalar's wants name the others too
}

func (u byKind) wants() string {
	var all []string
	for _, s := range []shape{u.scalar, u.list, u.dict} {
		if s != nil && !(u.all && len(all) > 0) {
			all = append(all, s.wants())
		}
	}
	return strings.Join(all, ", or ")
}

func (u byKind) read(r *reader, n *yaml.Node, at string) (any, bool) {
	kinds := map[yaml.Kind]shape{
		yaml.ScalarNode: u.scalar, yaml.SequenceNode: u.list, yaml.MappingNode: u.dict,
	}
	s := kinds[n.Kind]
	if s == nil || isNothing(n) {
		if n.Kind != yaml.AliasNode {
			r.fault(n, at, complain("found %s, want %s", describe(n), u.wants()))
		}
		return nil, false
	}
	return s.read(r, n, at)
}

// mapped changes the value of a shape, so that the shapes of a union agree.
type mapped[From, To any] struct {
	shape
	to func(From) To
}

func (m mapped[From, To]) read(r *reader, n *yaml.Node, at string) (any, bool) {
	v, ok := m.shape.read(r, n, at)
	if v == nil {
		return nil, false
	}
	return m.to(v.(From)), ok
}

// oneOrMore allows a single value where a list is allowed; its values are
// []T.
func oneOrMore[T any](of shape, list listOf[T]) byKind {
	return byKind{scalar: mapped[T, []T]{of, func(v T) []T { return []T{v} }}, list: list}
}

// enum is one of some names; its values are T, by the place of the name.
type enum[T ~uint8] struct{ names []string }

// wants quotes a word that would read as one of the sentence.
func (e enum[T]) wants() string {
	return strings.ReplaceAll("one of "+strings.Join(e.names, ", "), ", or", `, "or"`)
}

func (e enum[T]) parse(_ *reader, w written) (any, *complaint) {
	if i := slices.Index(e.names, w.text); i >= 0 {
		return T(i), nil
	}
	c := complain("found %s, want %s", quote(w.text), e.wants()).didYouMean(w.text, e.names)
	for _, name := range e.names {
		if w.text != "" && strings.HasPrefix(name, w.text+" ") {
			c.orAdvise("write " + name)
		}
	}
	return nil, c
}

func oneOf[T ~uint8](names ...string) leaf { return leaf{enum[T]{names}} }
