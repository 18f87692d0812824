package profiles

import (
	_ "embed"
	"slices"
	"strings"

	"choirloft/profiles/pattern"
	"choirloft/profiles/unit"
)

//go:embed doc.go
var source string

// Source is the package comment of profiles as it stands in its file: the grammar
// of the rig file, for who explains it.
func Source() string { return source }

// Key is a key of the rig file at one of its places, as the table that reads it
// has it.
type Key struct {
	Place   string // the keys that lead to it, as in banks.*.lanes; * is any name
	Meaning string // what its value is for, in a line
	Wants   string // what its value may be, with its range
	Units   []string
	Bare    string // the unit of a number without one; empty where it needs one, and where there is none
	// Default is as it would be written. It is empty where there is none, and where
	// it depends on other values, which Meaning then says.
	Default string
	Needed  bool
	Inside  []string // the keys in it, in the order of the table
	Example string   // lines of a rig that has the voices of banks K and L
	// OfProfile tells that the key is the first one of a profile file, and of no rig.
	OfProfile bool
}

// Name is the key without the way to it.
func (k *Key) Name() string { return k.Place[strings.LastIndexByte(k.Place, '.')+1:] }

// Keys are all keys of rig and profile files, in the order of the grammar. A key
// that stands in several maps is there once for each.
func Keys() []Key {
	all := rigShape.keysIn(place{})
	for _, first := range []row{interfaceProfiles.file.rows()[0], sequencerProfiles.file.rows()[0], kindProfiles.file.rows()[0]} {
		k := place{}.key(first, nil)
		k.OfProfile = true
		all = append(all, k)
	}
	return all
}

// KeysNamed are the keys that a name stands for: a key alone, or behind a part of
// the way to it, with names of the user's or without: lanes, banks.lanes,
// banks.K.lanes.
func KeysNamed(asked string) []Key {
	path := strings.Split(withoutIndices(asked), ".")
	for _, names := range []bool{false, true} {
		found := slices.DeleteFunc(Keys(), func(k Key) bool { return !leads(strings.Split(k.Place, "."), path, names) })
		if len(found) > 0 {
			return found
		}
	}
	return nil
}

// NearestKey is the key that is the fewest typing errors away from a name.
func NearestKey(asked string) (Key, bool) {
	all := Keys()
	short := make([]string, 0, 2*len(all))
	for _, k := range all {
		short = append(short, k.Name(), strings.ReplaceAll(k.Place, "*.", ""))
	}
	asked = withoutIndices(asked)
	name, ok := unit.Nearest(asked, short)
	if !ok { // perhaps the way to it is the error
		name, ok = unit.Nearest(asked[strings.LastIndexByte(asked, '.')+1:], short)
	}
	if !ok {
		return Key{}, false
	}
	return all[slices.Index(short, name)/2], true
}

// indices are places in lists, as paths and faults have them.
var indices = pattern.Of(`\[[^\]]*\]| \([0-9]+(st|nd|rd|th)\)`)

// withoutIndices takes the place out of wiring[0].from and of wiring (1st).from.
func withoutIndices(at string) string { return indices().ReplaceAllString(at, "") }

// leads tells whether a place ends in a path, which may leave names out; named
// lets it have some of the user's, but for those of the maps of a rig.
func leads(at, path []string, named bool) bool {
	switch {
	case len(path) == 0:
		return true
	case len(at) == 0:
		return false
	}
	last := at[len(at)-1]
	if last != "*" {
		return last == path[len(path)-1] && leads(at[:len(at)-1], path[:len(path)-1], named)
	}
	named = named && !slices.Contains(rigShape.keys(), path[len(path)-1])
	return leads(at[:len(at)-1], path, named) || named && leads(at[:len(at)-1], path[:len(path)-1], named)
}

// nest is a shape that has keys of the grammar in it.
type nest interface{ keysIn(place) []Key }

// place is where a map of the grammar stands.
type place struct {
	path []string
	wrap func(lines []string) []string // puts lines of the map into a rig; nil at the top
}

// exampleNames are what examples call what has a name of the user's.
var exampleNames = map[string]string{
	"interfaces": "main", "sequencers": "seq", "voices": "saw", "banks": "K", "macros": "bite", "parts": "pad",
	"gear": "mixer", "supplies": "one", "corrections": "K1", "measured": "K1", "set_ups": "stage", "jacks": "gate",
}

func (p place) wrapped(lines []string) []string {
	if p.wrap == nil {
		return lines
	}
	return p.wrap(lines)
}

// key is a row of the map at a place.
func (p place) key(r row, rows []row) Key {
	k := Key{
		Place: strings.Join(append(slices.Clip(p.path), r.key), "."), Meaning: r.doc, Wants: r.shape.wants(),
		Default: r.def, Needed: r.need,
	}
	k.Units, k.Bare = unitsOf(r.shape)
	if l, ok := r.shape.(leaf); ok {
		if p, ok := l.scalar.(profileName); ok {
			k.Wants = "one of " + strings.Join(builtinNames(p.folder), ", ") + ", or the path of a file"
		}
	}
	if n, ok := r.shape.(nest); ok {
		for _, inside := range n.keysIn(place{}) {
			if strings.Count(strings.TrimPrefix(inside.Place, "*."), ".") == 0 {
				k.Inside = append(k.Inside, inside.Name())
			}
		}
	}
	k.Example = strings.Join(p.wrapped(p.beside(rows, r.lines())), "\n") + "\n"
	return k
}

// lines are the example of a row.
func (r row) lines() []string {
	if strings.Contains(r.example, "\n") {
		return strings.Split(r.example, "\n")
	}
	return []string{r.key + ": " + r.example}
}

// beside adds what a map must have to lines of it, but at the top.
func (p place) beside(rows []row, lines []string) []string {
	if p.wrap == nil {
		return lines
	}
	for _, r := range slices.Backward(rows) {
		if !r.need {
			continue
		}
		for _, line := range slices.Backward(r.lines()) {
			key, _, _ := strings.Cut(line, ":")
			if !slices.ContainsFunc(lines, func(own string) bool { return strings.HasPrefix(own, key+":") }) {
				lines = append([]string{line}, lines...)
			}
		}
	}
	return lines
}

// below is the place of what is in a row.
func (p place) below(r row, rows []row) place {
	return place{append(slices.Clip(p.path), r.key), func(lines []string) []string {
		return p.wrapped(p.beside(rows, append([]string{r.key + ":"}, indent(lines)...)))
	}}
}

// named is the place of what has a name of the user's.
func (p place) named() place {
	if len(p.path) == 0 {
		return place{path: []string{"*"}}
	}
	name := exampleNames[p.path[len(p.path)-1]]
	return place{append(slices.Clip(p.path), "*"), func(lines []string) []string {
		return p.wrapped(append([]string{name + ":"}, indent(lines)...))
	}}
}

// item is the place of what is in a list.
func (p place) item() place {
	return place{p.path, func(lines []string) []string {
		lines = indent(lines)
		lines[0] = "- " + strings.TrimPrefix(lines[0], "  ")
		return p.wrapped(lines)
	}}
}

func indent(lines []string) []string {
	all := make([]string, len(lines))
	for i, line := range lines {
		all[i] = "  " + line
	}
	return all
}

func (o object[T]) keysIn(p place) []Key {
	var all []Key
	rows := o.rows()
	for _, r := range rows {
		all = append(all, p.key(r, rows))
		if n, ok := r.shape.(nest); ok {
			all = append(all, n.keysIn(p.below(r, rows))...)
		}
	}
	return all
}

func (d dictOf[K, V]) keysIn(p place) []Key { return keysWithin(d.of, p.named()) }

func (l listOf[T]) keysIn(p place) []Key { return keysWithin(l.of, p.item()) }

func (l locate[T]) keysIn(p place) []Key { return keysWithin(l.of, p) }

func (m mapped[From, To]) keysIn(p place) []Key { return keysWithin(m.shape, p) }

func (u byKind) keysIn(p place) []Key {
	return slices.Concat(keysWithin(u.scalar, p), keysWithin(u.list, p), keysWithin(u.dict, p))
}

func keysWithin(s shape, p place) []Key {
	if n, ok := s.(nest); ok {
		return n.keysIn(p)
	}
	return nil
}

// unitsOf are the units that a value may have, the usual one first, and that of a
// number without one.
func unitsOf(s shape) (names []string, bare string) {
	if l, ok := s.(leaf); ok {
		if q, ok := l.scalar.(interface{ unitNames() ([]string, string) }); ok {
			return q.unitNames()
		}
	}
	return nil, ""
}

func (q quantity[T]) unitNames() (names []string, bare string) {
	for _, u := range q.set.units {
		names = append(names, u.name)
	}
	return names, q.bare
}

func (s integer) unitNames() (names []string, bare string) {
	if s.unit == "" {
		return nil, ""
	}
	return []string{s.unit}, s.unit
}
