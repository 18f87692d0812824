package cli

import (
	"fmt"
	"strings"

	"choirloft/alloc"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/cmd/choirloft/internal/say"
	"choirloft/routing/plan"
)

// helpWidth is how wide help runs.
const helpWidth = 80

// rulesColumn is where the sentences about rules begin.
const rulesColumn = 23

// resultsHelp lists the vocabulary by kind.
func resultsHelp() string {
	var b strings.Builder
	for i, kind := range say.Vocabulary() {
		if i > 0 {
			b.WriteByte('\n')
		}
		writeLines(&b, strings.TrimSpace(kind.Title+": "+kind.About), "")
		for _, t := range kind.Terms {
			writeEntry(&b, titled(&t), t.Explained())
		}
	}
	return strings.TrimRight(b.String(), "\n")
}

// titled is a word with the head that stands for it above a column, where that is
// another.
func titled(t *say.Term) string {
	if t.Head == "" || strings.EqualFold(t.Head, t.Name) || strings.ContainsAny(t.Head, "%(") {
		return t.Name
	}
	return t.Name + " (" + t.Head + ")"
}

// writeLines writes a text as lines of help.
func writeLines(b *strings.Builder, text, indent string) {
	b.WriteString(strings.Join(doc.Wrap(text, helpWidth, indent), "\n") + "\n")
}

// writeEntry writes a name with what it means beside it, or below where the name
// is long.
func writeEntry(b *strings.Builder, name, means string) {
	if len(name) > rulesColumn-4 {
		b.WriteString("  " + name + "\n")
		name = ""
	}
	for _, line := range doc.Wrap(means, helpWidth-rulesColumn, "") {
		fmt.Fprintf(b, "  %-*s%s\n", rulesColumn-2, name, line)
		name = ""
	}
}

// rulesHelp lists the rules by kind, and how they are read where words leave a
// choice.
func rulesHelp() string {
	var b strings.Builder
	writeLines(&b, "The rules of a part, by their keys in a rig file. The first of each kind is what "+
		"a part has unless its rig says otherwise. Notes lose their voices in this order: tails first, then "+
		"sustained, then held. Under class_order: false all compete alike. Under newcomer: competes "+
		"the new note itself may be given up.", "")
	for _, k := range alloc.Rules() {
		b.WriteByte('\n')
		writeLines(&b, k.Key+": "+k.About, "")
		for _, r := range k.Rules {
			writeEntry(&b, r.Name, r.About)
		}
	}
	b.WriteString("\nWhere words leave a choice:\n")
	for _, r := range alloc.Readings() {
		writeLines(&b, "  - "+r, "  ")
	}
	return strings.TrimRight(b.String(), "\n")
}

// ruleNames lists the names of the rules, for commands that take them.
func ruleNames() string {
	var b strings.Builder
	for _, rules := range []struct {
		what  string
		names []string
	}{
		{"Picking", plan.PickNames()}, {"Stealing", alloc.StealNames()}, {"Same-key", alloc.SameKeyNames()},
	} {
		for _, line := range doc.Wrap(rules.what+" rules: "+strings.Join(rules.names, ", "), 79, "  ") {
			b.WriteString(line + "\n")
		}
	}
	b.WriteString("What each does: choirloft help rules.\n")
	return b.String()
}
