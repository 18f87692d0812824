package plan

import (
	"fmt"
	"reflect"
	"slices"
	"strings"
)

// field is one kind of override.
type field struct {
	flag string
	of   func(*Overrides) *[]string
	adds bool // what is on top does not replace what was there
}

// fields are the overrides with the names of their flags, in the order in
// which they are told.
var fields = []field{
	{"--voices", func(o *Overrides) *[]string { return &o.Voices }, false},
	{"--without", func(o *Overrides) *[]string { return &o.Without }, true},
	{"--more", func(o *Overrides) *[]string { return &o.More }, false},
	{"--banks", func(o *Overrides) *[]string { return &o.Banks }, false},
	{"--reserve", func(o *Overrides) *[]string { return &o.Reserve }, false},
	{"--unison", func(o *Overrides) *[]string { return &o.Unison }, false},
	{"--release", func(o *Overrides) *[]string { return &o.Release }, false},
	{"--pick", func(o *Overrides) *[]string { return &o.Pick }, false},
	{"--steal", func(o *Overrides) *[]string { return &o.Steal }, false},
	{"--tails", func(o *Overrides) *[]string { return &o.Tails }, false},
	{"--same-key", func(o *Overrides) *[]string { return &o.SameKey }, false},
	{"--trim", func(o *Overrides) *[]string { return &o.Trim }, false},
	{"--lift", func(o *Overrides) *[]string { return &o.Lift }, false},
	{"--doubles", func(o *Overrides) *[]string { return &o.Doubles }, false},
}

// Flags returns the overrides as they are typed: a flag and its value, in turn.
func (o Overrides) Flags() []string {
	var words []string
	for _, f := range fields {
		for _, value := range *f.of(&o) {
			words = append(words, f.flag, value)
		}
	}
	return words
}

// ParseFlags reads overrides as they are typed: a flag and its value, in turn.
// It is the inverse of [Overrides.Flags]. What the values mean is not looked at.
func ParseFlags(words []string) (Overrides, error) {
	var o Overrides
	for i := 0; i < len(words); i += 2 {
		at := slices.IndexFunc(fields, func(f field) bool { return f.flag == words[i] })
		if words[i] == "--out" {
			return Overrides{}, fmt.Errorf("--out: that is where live writes; a voice is left out by --without")
		}
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

// With returns the overrides with others on top. What is set for every part
// goes in place of all there was of its kind, and what is aimed at a part in
// place of what was aimed at that. Voices that are out stay out.
func (o Overrides) With(top Overrides) Overrides {
	for _, f := range fields {
		below, above := f.of(&o), *f.of(&top)
		kept := slices.DeleteFunc(slices.Clone(*below), func(value string) bool {
			return !f.adds && slices.ContainsFunc(above, func(v string) bool { return covers(v, value) })
		})
		*below = append(kept, above...)
	}
	return o
}

// covers tells whether a value leaves nothing of another one.
func covers(top, below string) bool {
	part, _, aimed := strings.Cut(top, "=")
	if !aimed {
		return true
	}
	other, _, both := strings.Cut(below, "=")
	return both && strings.TrimSpace(part) == strings.TrimSpace(other)
}

// IsZero tells whether nothing is overridden.
func (o Overrides) IsZero() bool { return reflect.ValueOf(o).IsZero() }

// EditsSong tells whether the overrides change what parts are given to play.
func (o Overrides) EditsSong() bool { return len(o.Trim)+len(o.Lift)+len(o.Doubles) > 0 }
