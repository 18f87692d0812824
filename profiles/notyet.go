package profiles

import (
	"cmp"
	"slices"
	"strings"
)

// NotYet is something that a rig says and the program does not use yet.
type NotYet struct {
	What string
	Path string // of the first such value, such as "parts.pad.glide"
	Pos  Pos
	More int // further places in the rig
}

// notYet lists what the grammar has and the program does not use: what is
// written at a path like this one, * standing for one name. Whoever builds one
// of these deletes its line.
var notYet = []struct{ path, what string }{
	{"sequencers", "sequencers"},
	{"set_ups", "set-ups"},
}

// NotYetUsed lists what the rig says and the program does not use yet, each
// once, in the order of the file.
func NotYetUsed(r *Rig) []NotYet {
	var all []NotYet
	for at, pos := range r.given {
		for _, row := range notYet {
			if match(row.path, at) {
				all = append(all, NotYet{What: row.what, Path: at, Pos: pos})
			}
		}
	}
	slices.SortFunc(all, func(a, b NotYet) int {
		return cmp.Or(a.Pos.compare(b.Pos), strings.Compare(a.Path, b.Path))
	})
	return firsts(all)
}

// firsts keeps the first of each and counts the others.
func firsts(all []NotYet) []NotYet {
	var kept []NotYet
	for _, n := range all {
		i := slices.IndexFunc(kept, func(k NotYet) bool { return k.What == n.What })
		if i < 0 {
			kept = append(kept, n)
			continue
		}
		kept[i].More++
	}
	return kept
}

// match tells whether a path is like the pattern. Names have no points in them.
func match(pattern, at string) bool {
	before, after, star := strings.Cut(pattern, "*")
	if !star {
		return pattern == at
	}
	rest, ok := strings.CutPrefix(at, before)
	if !ok {
		return false
	}
	name, ok := strings.CutSuffix(rest, after)
	return ok && !strings.Contains(name, ".")
}
