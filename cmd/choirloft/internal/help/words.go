package help

import (
	"fmt"
	"strings"

	"choirloft/alloc"
	"choirloft/cmd/choirloft/internal/say"
)

// results lists the vocabulary by kind.
func results() string {
	var b strings.Builder
	for _, kind := range say.Vocabulary() {
		b.WriteString(strings.TrimSpace(kind.Title+": "+kind.About) + "\n")
		for _, t := range kind.Terms {
			fmt.Fprintf(&b, "  %s  %s%s\n", titled(&t), t.Explained(), keyOf(&t))
		}
		b.WriteByte('\n')
	}
	return b.String()
}

// keyOf names the word of JSON and CSV, where it is another.
func keyOf(t *say.Term) string {
	if t.Key == "" || t.Key == t.Name {
		return ""
	}
	return ` In JSON and CSV: "` + t.Key + `".`
}

// titled is a word with the head that stands for it above a column, where that is
// another.
func titled(t *say.Term) string {
	if t.Head == "" || strings.EqualFold(t.Head, t.Name) || strings.ContainsAny(t.Head, "%(") {
		return t.Name
	}
	return t.Name + " (" + t.Head + ")"
}

// rules lists the rules by kind, and how they are read where words leave a choice.
func rules() string {
	var b strings.Builder
	for _, k := range alloc.Rules() {
		b.WriteString(k.Key + ": " + k.About + "\n")
		for _, r := range k.Rules {
			fmt.Fprintf(&b, "  %s  %s\n", r.Name, r.About)
		}
		b.WriteByte('\n')
	}
	b.WriteString("Where words leave a choice:\n")
	for _, r := range alloc.Readings() {
		b.WriteString("- " + r + "\n")
	}
	return b.String()
}
