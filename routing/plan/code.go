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
	if o.IsZero() {
		return base
	}
	return profiles.Fingerprint([]byte(base), []byte(strings.Join(o.canonical(), "\n")))
}

// canonical returns a line for each thing that is overridden, in one order
// whatever the order in which they were asked for.
func (o Overrides) canonical() []string {
	var lines []string
	for _, k := range kinds {
		var values []string
		for _, w := range k.codes(&o) {
			values = append(values, w.Typed())
		}
		slices.Sort(values)
		for _, v := range slices.Compact(values) {
			lines = append(lines, k.name()+" "+v)
		}
	}
	return lines
}
