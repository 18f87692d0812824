package plan

import (
	"fmt"
	"strings"

	"choirloft/alloc"
	"choirloft/profiles/unit"
)

// aims are the values of one override, sorted out.
type aims[T any] struct {
	every  *T       // what was not aimed at a part
	byPart []*T     // by index: what holds for the part; nil for what the rig says
	from   []For[T] // by index: where that was said
	aimed  []bool   // by index: there was a value for this part alone
}

// resolve finds the parts that the values of an override are aimed at. It
// refuses two different values for the same part.
func resolve[T any](cfg *alloc.Config, k *kind[T], o *Overrides) (*aims[T], error) {
	return resolveValues(cfg, k, *k.of(o))
}

func resolveValues[T any](cfg *alloc.Config, k *kind[T], values []For[T]) (*aims[T], error) {
	n := len(cfg.Parts)
	a := &aims[T]{byPart: make([]*T, n), from: make([]For[T], n), aimed: make([]bool, n)}
	differ := func(a, b T) bool { return k.print(a) != k.print(b) }
	for _, v := range values {
		if v.Part == "" {
			if a.every != nil && differ(*a.every, v.Value) {
				first := k.written(For[T]{Value: *a.every})
				return nil, k.refuse(fmt.Sprintf("at odds with %s %s, both are for every %s", k.flag, first.Typed(), k.aim()),
					"aim one of them at a "+k.aim()+", such as "+k.flag+" "+cfg.Parts[0].Name+"="+k.print(v.Value), v)
			}
			a.every = &v.Value
			continue
		}
		i, message, hint := findNamed(cfg, k.aim(), v.Part)
		if message != "" {
			return nil, k.unknown(message, hint, v)
		}
		if a.aimed[i] && differ(*a.byPart[i], v.Value) {
			return nil, k.refuse(fmt.Sprintf("at odds with %s %s, both are for %s %s", k.flag, k.written(a.from[i]).Typed(), k.aim(), cfg.Parts[i].Name), "", v)
		}
		a.byPart[i], a.from[i], a.aimed[i] = &v.Value, v, true
	}
	for i := range a.byPart {
		if a.byPart[i] == nil && a.every != nil {
			a.byPart[i], a.from[i] = a.every, For[T]{Value: *a.every}
		}
	}
	return a, nil
}

// findNamed finds a part, or what else stands in their place.
func findNamed(cfg *alloc.Config, what, name string) (i int, message, hint string) {
	names := make([]string, len(cfg.Parts))
	for i := range cfg.Parts {
		names[i] = cfg.Parts[i].Name
		if names[i] == name {
			return i, "", ""
		}
	}
	return 0, fmt.Sprintf("no %s %q in the rig, its %ss are %s", what, name, what, strings.Join(names, ", ")), unit.DidYouMean(name, names)
}
