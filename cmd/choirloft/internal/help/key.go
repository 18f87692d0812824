package help

import (
	"cmp"
	"fmt"
	"strings"

	"choirloft/profiles"
	"choirloft/profiles/unit"
)

// Key explains a key of the rig file at each of its places, before it is laid out.
// Empty is for no such key.
func Key(asked string) string {
	var all []string
	for _, k := range profiles.KeysNamed(asked) {
		all = append(all, keyText(&k))
	}
	return strings.Join(all, "\n")
}

// Explain explains a key, or a word of players by the key that does it. Empty is
// for neither.
func Explain(asked string) string {
	if key := Key(asked); key != "" {
		return key
	}
	w, ok := profiles.PlayersWord(asked)
	if !ok {
		return ""
	}
	return asked + ": " + w.How + ".\n\n" + Key(w.Key)
}

// keyText is one key at one place.
func keyText(k *profiles.Key) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s: %s\n", k.Name(), k.Meaning)
	line := func(name, text string) {
		if text != "" {
			fmt.Fprintf(&b, "  %s  %s\n", name, text)
		}
	}
	if k.OfProfile {
		line("stands", "first in a profile file; choirloft help rig says more under Profiles")
	} else {
		line("stands", strings.ReplaceAll(k.Place, "*", "NAME"))
	}
	line("value", k.Wants)
	line("units", unitsText(k))
	line("default", defaultText(k))
	line("keys in it", strings.Join(k.Inside, ", "))
	if k.Name() == "pick" || k.Name() == "steal" || k.Name() == "same_key" || k.Name() == "when_short" {
		line("see", "choirloft help rules, for what each does")
	}
	b.WriteString("\n")
	for line := range strings.Lines(k.Example) {
		b.WriteString("    " + line)
	}
	return b.String()
}

func unitsText(k *profiles.Key) string {
	units := unit.Choice(k.Units)
	if k.Bare != "" {
		units += "; a number without one is in " + k.Bare
	}
	return units
}

// defaultText says what holds where the key is left out; nothing where its meaning
// says so.
func defaultText(k *profiles.Key) string {
	switch {
	case k.Needed:
		return "none; you must give it"
	case k.Default == "{}":
		return "what the keys in it have"
	case strings.Contains(k.Meaning, "by default"):
		return ""
	}
	return cmp.Or(k.Default, "none, and it may be left out")
}

// KeyNames are the names that Key explains, for completion: each key alone and
// with the way to it, without names of the user's.
func KeyNames() []string {
	var all []string
	seen := map[string]bool{}
	for _, k := range profiles.Keys() {
		for _, name := range []string{k.Name(), strings.ReplaceAll(k.Place, "*.", "")} {
			if !seen[name] {
				seen[name] = true
				all = append(all, name)
			}
		}
	}
	return all
}
