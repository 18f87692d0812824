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
// written at a path like this one, * standing for one name, unless idle says
// that it asks for nothing. Whoever builds one of these deletes its line.
var notYet = []struct {
	path string
	what string
	idle func(r *Rig, name string) bool // of that name; nil for never
}{
	{"sequencers", "sequencers", nil},
	{"voices.*.inputs", "lanes of a voice beside pitch and gate", func(r *Rig, name string) bool {
		i := slices.IndexFunc(r.Kinds, func(k Kind) bool { return k.Name == name })
		return len(r.Kinds[i].Inputs) <= 2
	}},
	{"banks.*.lanes", "lanes of a bank", nil},
	{"banks.*.spare", "spare voices", nil},
	{"banks.*.row", "places in the rack", nil},
	{"banks.*.hp", "widths", nil},
	{"banks.*.ma", "currents", nil},
	{"interfaces.*.row", "places in the rack", nil},
	{"interfaces.*.hp", "widths", nil},
	{"interfaces.*.ma", "currents", nil},
	{"macros", "macros", nil},
	{"parts.*.channel", "per-note channels", inParts(func(p Part) bool { return p.Zone == NoZone })},
	{"parts.*.mode", "mono parts", inParts(func(p Part) bool { return p.Mode == Poly })},
	{"parts.*.reserve", "reserved voices", inParts(func(p Part) bool { return p.Reserve == 0 })},
	{"parts.*.limit", "limits of parts", nil},
	{"parts.*.priority", "priorities", inParts(func(p Part) bool { return p.Priority == 1 })},
	{"parts.*.unison", "unison", inParts(func(p Part) bool { return p.Unison.Voices == 1 })},
	{"parts.*.glide", "glide", inParts(func(p Part) bool { return p.Glide == 0 })},
	{"levels", "levels", nil},
	{"wiring", "wiring", nil},
	{"pins", "pins", nil},
	{"gear", "other modules", nil},
	{"supplies", "supplies", nil},
	{"rack", "the width of the rack", nil},
	{"corrections", "corrections", nil},
	{"set_ups", "set-ups", nil},
}

// inParts asks a question of the part of that name.
func inParts(idle func(Part) bool) func(*Rig, string) bool {
	return func(r *Rig, name string) bool {
		i := slices.IndexFunc(r.Parts, func(p Part) bool { return p.Name == name })
		return idle(r.Parts[i])
	}
}

// NotYetUsed lists what the rig says and the program does not use yet, each
// once, in the order of the file.
func NotYetUsed(r *Rig) []NotYet {
	var all []NotYet
	for at, pos := range r.given {
		for _, row := range notYet {
			name, ok := match(row.path, at)
			if ok && (row.idle == nil || !row.idle(r, name)) {
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

// match tells whether a path is like the pattern, and what stands in place of
// its star. Names have no points in them.
func match(pattern, at string) (name string, ok bool) {
	before, after, star := strings.Cut(pattern, "*")
	if !star {
		return "", pattern == at
	}
	rest, ok := strings.CutPrefix(at, before)
	if !ok {
		return "", false
	}
	name, ok = strings.CutSuffix(rest, after)
	return name, ok && !strings.Contains(name, ".")
}
