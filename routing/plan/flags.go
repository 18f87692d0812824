package plan

import (
	"fmt"
	"slices"
)

// ParseFlags reads overrides as they are typed: a flag and its value, in turn.
// It is the inverse of [Overrides.Flags]. What the values mean is not looked at.
func ParseFlags(words []string) (Overrides, error) {
	var o Overrides
	for i := 0; i < len(words); i += 2 {
		at := slices.IndexFunc(fields, func(f field) bool { return f.flag == words[i] })
		if at < 0 {
			return Overrides{}, fmt.Errorf("%s: there is no such override", words[i])
		}
		if i+1 == len(words) {
			return Overrides{}, fmt.Errorf("%s: it needs a value", words[i])
		}
		to := fields[at].of(&o)
		*to = append(*to, words[i+1])
	}
	if n := len(words) / 2; n > maxFlags {
		return Overrides{}, fmt.Errorf("%d overrides, want at most %d", n, maxFlags)
	}
	return o, nil
}

// maxFlags is how many overrides are read.
const maxFlags = 1000
