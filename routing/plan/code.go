package plan

import (
	"slices"
	"strings"

	"choirloft/profiles"
)

// Code returns the plan code: eight signs, to be printed on whatever is made
// from the plan, that tell it from another. Without overrides they are the
// fingerprint of the rig, see [profiles.Fingerprint]; every override changes
// them, see [Overrides.Code]. Songs are not covered.
func (p *Plan) Code() string { return p.Overrides.Code(p.base) }

// Code returns the code of what the overrides change, whose own code is base:
// base itself where nothing is overridden, else other eight signs.
//
// Overrides count as they are asked for, whatever comes of them: --voices 19 has
// a code of its own on a rig of 19 voices too. What is told in another order, or
// twice, or with other spaces, has the same code; so has the same time in another
// unit.
func (o Overrides) Code(base string) string {
	if len(o.Flags()) == 0 {
		return base
	}
	return profiles.Fingerprint([]byte(base), []byte(strings.Join(o.canonical(), "\n")))
}

// canonical returns a line for each thing that is overridden, in one order
// whatever the order in which they were asked for.
func (o Overrides) canonical() []string {
	var lines []string
	for _, f := range fields {
		var values []string
		for _, typed := range *f.of(&o) {
			values = append(values, plainly(f.flag, typed)...)
		}
		slices.Sort(values)
		for _, v := range slices.Compact(values) {
			lines = append(lines, f.flag+" "+v)
		}
	}
	return lines
}

// plainly writes a value in one way: what it is aimed at and what it says
// without spaces around, names in order, times in seconds. Voices that are out
// are a value each.
func plainly(flag, typed string) []string {
	if flag == "--without" {
		return sortedNames(typed)
	}
	part, text, aimed := strings.Cut(typed, "=")
	if !aimed {
		part, text = "", typed
	}
	switch text = strings.TrimSpace(text); flag {
	case "--banks":
		text = strings.Join(sortedNames(text), ",")
	case "--release", "--trim", "--lift":
		if d, message, _ := parseTime(text, "", "", maxRelease); message == "" {
			text = inSeconds(d)
		}
	}
	if aimed {
		text = strings.TrimSpace(part) + "=" + text
	}
	return []string{text}
}

// sortedNames returns the names that have commas between them.
func sortedNames(typed string) []string {
	names := strings.Split(typed, ",")
	for i := range names {
		names[i] = strings.TrimSpace(names[i])
	}
	slices.Sort(names)
	return slices.Compact(names)
}
