package plan

import (
	"fmt"
	"strings"

	"choirloft/alloc"
	"choirloft/profiles/unit"
)

// aims are the values of one override, sorted out.
type aims[T any] struct {
	every  *T   // what was not aimed at a part
	byPart []*T // by index: what holds for the part; nil for what the rig says
	typed  []string
	aimed  []bool // by index: there was a value for this part alone
}

// resolve reads the values of an override and finds the parts they are aimed
// at. It refuses two different values for the same part.
func resolve[T comparable](cfg *alloc.Config, name string, values []string, parse parser[T]) (*aims[T], error) {
	n := len(cfg.Parts)
	a := &aims[T]{byPart: make([]*T, n), typed: make([]string, n), aimed: make([]bool, n)}
	everyTyped := ""
	for _, typed := range values {
		refuse := func(message, hint string) error { return &OverrideError{name, typed, message, hint} }
		part, text, aimed := strings.Cut(typed, "=")
		if !aimed {
			text = typed
		}
		value, message, hint := parse(strings.TrimSpace(text))
		if message != "" {
			return nil, refuse(message, hint)
		}
		if !aimed {
			if a.every != nil && *a.every != value {
				return nil, refuse(fmt.Sprintf("at odds with %s %s, both are for every part", name, everyTyped), "aim one of them at a part, such as "+name+" "+cfg.Parts[0].Name+"="+text)
			}
			a.every, everyTyped = &value, typed
			continue
		}
		i, message, hint := findPart(cfg, strings.TrimSpace(part))
		if message != "" {
			return nil, refuse(message, hint)
		}
		if a.aimed[i] && *a.byPart[i] != value {
			return nil, refuse(fmt.Sprintf("at odds with %s %s, both are for part %s", name, a.typed[i], cfg.Parts[i].Name), "")
		}
		a.byPart[i], a.typed[i], a.aimed[i] = &value, typed, true
	}
	for i := range a.byPart {
		if a.byPart[i] == nil {
			a.byPart[i], a.typed[i] = a.every, everyTyped
		}
	}
	return a, nil
}

func findPart(cfg *alloc.Config, name string) (i int, message, hint string) {
	names := make([]string, len(cfg.Parts))
	for i := range cfg.Parts {
		names[i] = cfg.Parts[i].Name
		if names[i] == name {
			return i, "", ""
		}
	}
	return 0, fmt.Sprintf("no part %q in the rig, its parts are %s", name, strings.Join(names, ", ")), unit.DidYouMean(name, names)
}
