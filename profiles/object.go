package profiles

import (
	"strings"

	"gopkg.in/yaml.v3"

	"choirloft/profiles/unit"
)

// object is a map with keys of the grammar's; its values are T.
type object[T any] struct {
	what   string // with its article
	fields []field[T]
	// start returns what the fields are then set on, such as a profile; nil
	// starts from the defaults.
	start func(r *reader, n *yaml.Node, at string) (T, bool)
	// finish holds the rules between fields and the defaults that depend on
	// others; it may be nil.
	finish func(r *reader, v *T, n *yaml.Node, at string)
}

// field is one key of an object.
type field[T any] struct {
	key string
	doc string // one line
	// example is a value, or with what it needs beside it lines of the map.
	example string
	shape   shape
	need    bool
	// def is the default as it would be written, empty where there is none or
	// where it depends on other values.
	def string
	set func(r *reader, target *T, v any)
}

// must makes a field that has to be there.
func must[T, V any](key string, s shape, to func(*T) *V, doc, example string) field[T] {
	f := may(key, s, "", to, doc, example)
	f.need = true
	return f
}

// may makes a field with a default.
func may[T, V any](key string, s shape, def string, to func(*T) *V, doc, example string) field[T] {
	set := func(_ *reader, target *T, v any) { *to(target) = v.(V) }
	return field[T]{key: key, doc: doc, example: example, shape: s, def: def, set: set}
}

func (o object[T]) wants() string { return o.what + ", key by key" }

func (o object[T]) keys() []string {
	keys := make([]string, len(o.fields))
	for i, f := range o.fields {
		keys[i] = f.key
	}
	return keys
}

// row is a field without its target, for whoever reads the tables.
type row struct {
	key, doc, example, def string
	need                   bool
	shape                  shape
}

func (o object[T]) rows() []row {
	rows := make([]row, len(o.fields))
	for i, f := range o.fields {
		rows[i] = row{f.key, f.doc, f.example, f.def, f.need, f.shape}
	}
	return rows
}

func (o object[T]) read(r *reader, n *yaml.Node, at string) (any, bool) {
	if n.Kind != yaml.MappingNode {
		if n.Kind != yaml.AliasNode {
			c := complain("found %s, want %s", describe(n), o.wants())
			if at != "" {
				c.orAdvise(o.alone(n))
			}
			r.fault(n, at, c)
		}
		return nil, false
	}
	before := len(r.faults)
	target := o.base(r, n, at)
	o.refuseUnknown(r, n, at)
	for _, f := range o.fields {
		o.readField(r, &target, f, n, at)
	}
	if o.finish != nil && len(r.faults) == before {
		o.finish(r, &target, n, at)
	}
	return target, len(r.faults) == before
}

// base returns what the fields of a map are set on.
func (o object[T]) base(r *reader, n *yaml.Node, at string) T {
	if o.start != nil {
		if target, ok := o.start(r, n, at); ok {
			return target
		}
	}
	return o.defaults()
}

func (o object[T]) readField(r *reader, target *T, f field[T], n *yaml.Node, at string) {
	key, value := lookup(n, f.key)
	if value == nil {
		if f.need && !merges(n) && !o.covers(n, f.key) {
			r.fault(n, at, complain("%s is missing", f.key).advise("%s", f.missing()))
		}
		return
	}
	where := join(at, f.key)
	if value.Kind == yaml.ScalarNode {
		r.note(value, where)
	} else {
		r.note(key, where)
	}
	before := len(r.faults)
	if v, _ := f.shape.read(r, value, where); v != nil {
		f.set(r, target, v)
	}
	r.slip(f.key, value, where, before)
}

// missing explains the field to who left it out.
func (f field[T]) missing() string {
	return f.key + ": " + row{key: f.key, doc: f.doc, example: f.example}.explained()
}

// merges tells whether a map takes keys from elsewhere, which is refused by
// checkTree: what is missing may be meant to come from there.
func merges(n *yaml.Node) bool {
	_, from := lookup(n, "<<")
	return from != nil
}

// refuseUnknown complains of every key that is not among those allowed.
func (o object[T]) refuseUnknown(r *reader, n *yaml.Node, at string) {
	allowed := o.keys()
	known, read := make(map[string]bool, len(allowed)), map[string]bool{}
	for _, key := range allowed {
		known[key] = true
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		read[n.Content[i].Value] = true
	}
	var before *yaml.Node // the key above, where it has no value
	for i := 0; i+1 < len(n.Content); i += 2 {
		key, value := n.Content[i], n.Content[i+1]
		switch {
		case key.Kind == yaml.AliasNode || key.Tag == "!!merge":
			// said before, by checkTree
		case key.Kind != yaml.ScalarNode:
			r.fault(key, at, complain("found %s as a key, want one of %s", describe(key), strings.Join(allowed, ", ")))
		case !known[key.Value]:
			known[key.Value] = true // once is enough
			r.fault(key, join(at, key.Value), complain("unknown key %s, want one of %s", quote(key.Value), strings.Join(allowed, ", ")).
				orAdvise(o.meant(key, before, value, allowed)))
			o.readMeant(r, key, value, at, read)
			continue
		}
		if before = nil; isNothing(value) {
			before = key
		}
	}
}

// readMeant reads the value of an unknown key as that of the nearest one, unless it
// is there too, to find its faults at once. Of several nearest to one, the first is read.
func (o object[T]) readMeant(r *reader, key, value *yaml.Node, at string, read map[string]bool) {
	near, ok := unit.Nearest(key.Value, o.keys())
	if !ok || read[near] || isNothing(value) {
		return
	}
	read[near] = true
	for _, f := range o.fields {
		if f.key == near {
			where, before := join(at, key.Value), len(r.faults)
			f.shape.read(r, value, where)
			r.slip(near, value, where, before)
		}
	}
}

// defaults returns a T with the default of every field.
func (o object[T]) defaults() T {
	var target T
	r := &reader{middleC: C4}
	for _, f := range o.fields {
		if f.def == "" {
			continue
		}
		v, ok := f.shape.read(r, asNode(f.def), f.key)
		if !ok {
			panic("bug in the grammar: " + r.faults.Error())
		}
		f.set(r, &target, v)
	}
	return target
}

// asNode returns the node of a default.
func asNode(text string) *yaml.Node {
	if !strings.HasPrefix(text, "[") && !strings.HasPrefix(text, "{") {
		return &yaml.Node{Kind: yaml.ScalarNode, Value: text}
	}
	var doc yaml.Node
	if err := yaml.Unmarshal([]byte(text), &doc); err != nil {
		panic("bug in the grammar: " + err.Error())
	}
	return doc.Content[0]
}
