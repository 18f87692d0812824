package profiles

import (
	"slices"
	"strconv"
	"strings"

	"gopkg.in/yaml.v3"
)

// listOf is a list of values of one shape, each at most once; its values are
// []T.
type listOf[T any] struct {
	of   shape
	what string // what it lists, in the plural
	max  int    // how many at most; one at least
	// same tells two values apart that may not stand in one list; nil allows
	// any.
	same func(a, b T) bool
	none string // advice where it is empty; may be empty itself
}

func (l listOf[T]) wants() string { return "a list of " + l.what }

func (l listOf[T]) read(r *reader, n *yaml.Node, at string) (any, bool) {
	if n.Kind != yaml.SequenceNode {
		if n.Kind != yaml.AliasNode {
			r.fault(n, at, complain("found %s, want %s", describe(n), l.wants()).bracket(n))
		}
		return nil, false
	}
	if c := checkCount(len(n.Content), l.max, l.what); c != nil {
		if len(n.Content) == 0 {
			c.orAdvise(l.none)
		}
		r.fault(n, at, c)
		return nil, false
	}
	values := make([]T, 0, len(n.Content))
	whole := true
	for i, item := range n.Content {
		where := index(at, i)
		r.note(item, where)
		v, ok := l.of.read(r, item, where)
		whole = whole && ok
		if v == nil {
			continue
		}
		if l.seen(values, v.(T)) {
			r.fault(item, where, complain("%s stands here twice", describe(item)))
			continue
		}
		values = append(values, v.(T))
	}
	return values, whole
}

func (l listOf[T]) seen(values []T, v T) bool {
	if l.same == nil {
		return false
	}
	for _, earlier := range values {
		if l.same(earlier, v) {
			return true
		}
	}
	return false
}

// bracket advises how to write a list of one.
func (c *complaint) bracket(n *yaml.Node) *complaint {
	if n.Kind != yaml.ScalarNode || isNothing(n) {
		return c
	}
	return c.advise("write [%s]", shorten(n.Value))
}

// checkCount complains of none or too many.
func checkCount(n, max int, what string) *complaint {
	switch {
	case n == 0:
		return complain("found no %s, want at least one", what)
	case n > max:
		return complain("found %d %s, want at most %d", n, what, max)
	}
	return nil
}

// entry is one entry of a map.
type entry[K comparable, V any] struct {
	key   K
	value V
	pos   Pos // of the key
	at    string
	// broken: something is wrong with the value.
	broken bool
}

// dictOf is a map with keys of the user's; its values are []entry[K, V] in
// file order.
type dictOf[K comparable, V any] struct {
	keys keyScalar
	of   shape
	what string // what it maps, in the plural
	max  int    // how many at most; one at least
}

func (d dictOf[K, V]) wants() string { return "a map of " + d.what }

func (d dictOf[K, V]) read(r *reader, n *yaml.Node, at string) (any, bool) {
	if n.Kind != yaml.MappingNode {
		if n.Kind != yaml.AliasNode {
			c := complain("found %s, want %s", describe(n), d.wants())
			if n.Kind == yaml.SequenceNode {
				c.advise("leave out the dashes: each has a name, a colon, and what belongs to it")
			}
			r.fault(n, at, c)
		}
		return nil, false
	}
	if c := checkCount(len(n.Content)/2, d.max, d.what); c != nil {
		r.fault(n, at, c)
		return nil, false
	}
	var entries []entry[K, V]
	seen := map[K]string{}
	before := len(r.faults)
	for i := 0; i+1 < len(n.Content); i += 2 {
		key := n.Content[i]
		e, ok := d.readEntry(r, key, n.Content[i+1], at)
		if !ok {
			continue
		}
		if earlier, ok := seen[e.key]; ok {
			if earlier != key.Value { // else said before, by checkTree
				r.fault(key, e.at, complain("%s stands here already, as %s", quote(key.Value), quote(earlier)))
			}
			continue
		}
		seen[e.key] = key.Value
		entries = append(entries, e)
	}
	return entries, len(r.faults) == before
}

// readEntry returns an entry, and whether its key could be read.
func (d dictOf[K, V]) readEntry(r *reader, key, value *yaml.Node, at string) (entry[K, V], bool) {
	var e entry[K, V]
	if key.Kind == yaml.AliasNode || key.Tag == "!!merge" {
		return e, false // said before, by checkTree
	}
	if key.Kind != yaml.ScalarNode {
		r.fault(key, at, complain("found %s as a key, want %s", describe(key), d.keys.wants()))
		return e, false
	}
	e.pos, e.at = r.pos(key), join(at, key.Value)
	r.note(key, e.at)
	k, c := d.keys.parse(r, written{text: key.Value})
	if c != nil {
		r.fault(key, e.at, c)
		r.refuse(e.at)
	} else {
		e.key = k.(K)
	}
	before := len(r.faults)
	v, ok := d.of.read(r, value, e.at)
	if !ok && before < len(r.faults) && !strings.Contains(at, ".") && slices.Contains(rigKeys(), key.Value) {
		r.faults = r.faults[:before]
		r.fault(key, e.at, complain("found %s among the %s, want it at the edge of the file", quote(key.Value), d.what).advise("indent it less"))
	}
	if v != nil {
		e.value = v.(V)
	}
	e.broken = !ok
	return e, c == nil
}

// text is a line of words; its values are string.
type text struct {
	what string // with its article
	max  int    // in characters
}

func (t text) wants() string { return t.what + " of up to " + strconv.Itoa(t.max) + " characters" }

func (t text) parse(_ *reader, w written) (any, *complaint) {
	if !isLine(w.text, t.max) {
		return nil, complain("found %s, want %s on one line", quote(w.text), t.wants())
	}
	return w.text, nil
}
