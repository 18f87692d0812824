package alter

import (
	"slices"
	"strings"

	"choirloft/profiles"
)

// mention is a place of a rig file that may name a bank or a voice, in what is written there or in
// its key. What holds the place may have several; where all of them go, so many keys of its path are taken
// out, or where whole is 0 this is refused.
type mention struct {
	path  string // a star stands for any key
	key   int    // the key of the path that names it, from 1; 0: what is written there
	whole int
	names named
	as    string // what holds it, in words
	hint  string
}

// named says what stands at a mention. Other things may have names that look like those of voices.
type named uint8

const (
	aBank named = iota
	aVoice
	anInput // of a bank or a voice
)

// mentions are all places that may name banks and voices.
var mentions = []mention{
	{path: "parts * banks", as: "part", hint: "give it another bank first"},
	{path: "parts * pick fixed", names: aVoice, as: "the fixed pick of part", hint: "choose another pick for it first, in the rig text"},
	{path: "macros * to", names: anInput, whole: 2},
	{path: "wiring * to", names: anInput, whole: 2},
	{path: "supplies * feeds", as: "supply", hint: "have it feed something else first, in the rig text"},
	{path: "set_ups * parts *", whole: 4},
	{path: "pins *", key: 2, names: anInput, whole: 2},
	{path: "corrections *", key: 2, names: aVoice, whole: 2},
	{path: "measured *", key: 2, names: aVoice, whole: 2},
}

// name is the bank or the voice that a place names; empty where it names something else.
func (m *mention) name(l profiles.Setting) string {
	name := l.Text
	if m.key > 0 {
		name = l.Path[m.key-1]
	}
	of, _, input := strings.Cut(name, ".")
	_, digits := voiceOf(of)
	switch {
	case m.names == aBank && digits != "", (m.names == anInput) != input:
		return ""
	}
	return of
}

// of tells whether a path is that of the mention, or stands in it.
func (m *mention) of(path []string) bool {
	keys := strings.Fields(m.path)
	if len(path) < len(keys) {
		return false
	}
	for i, key := range keys {
		if key != "*" && key != path[i] {
			return false
		}
	}
	return true
}

// forget takes out what names things that go. What would be left with none of them is taken out
// whole, or this is refused.
func (t *text) forget(what string, gone func(name string) bool) error {
	var drop [][]string
	for i := range mentions {
		m := &mentions[i]
		for _, holder := range t.holders(m) {
			var paths [][]string
			for _, l := range holder {
				if gone(m.name(l)) {
					paths = append(paths, l.Path)
				}
			}
			switch top := holder[0].Path; {
			case len(paths) < len(holder):
			case m.whole == 0:
				return refuse(m.hint, "%s %s has nothing but %s", m.as, top[1], what)
			case top[0] == "macros":
				paths = append(t.pinOf(top[1]), top[:m.whole])
			default:
				paths = [][]string{top[:m.whole]}
			}
			drop = append(drop, paths...)
		}
	}
	t.dropAll(drop)
	return nil
}

// holders are the places of a mention in the file, together where one holds them.
func (t *text) holders(m *mention) (all [][]profiles.Setting) {
	keys := len(strings.Fields(m.path))
	for _, l := range t.leaves() {
		if !m.of(l.Path) {
			continue
		}
		if n := len(all); n > 0 && under(l.Path, all[n-1][0].Path[:keys]) {
			all[n-1] = append(all[n-1], l)
		} else {
			all = append(all, []profiles.Setting{l})
		}
	}
	return all
}

// pinOf is where a macro has a jack of its own.
func (t *text) pinOf(macro string) (paths [][]string) {
	for _, l := range t.leaves() {
		if under(l.Path, []string{"pins", macro}) {
			paths = append(paths, l.Path)
		}
	}
	return paths
}

// dropAll takes out what stands at paths, the last of the file first, each once.
func (t *text) dropAll(paths [][]string) {
	dropped := map[string]bool{}
	for _, l := range slices.Backward(t.leaves()) {
		for _, path := range paths {
			if at := strings.Join(path, "\n"); under(l.Path, path) && !dropped[at] {
				dropped[at] = true
				t.drop(path...)
			}
		}
	}
}
