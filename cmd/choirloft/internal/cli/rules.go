package cli

import (
	"fmt"
	"strings"

	"choirloft/alloc"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/routing/plan"
)

// helpWidth is how wide help runs.
const helpWidth = 80

// rulesColumn is where the sentences about rules begin.
const rulesColumn = 23

// rulesHelp lists the rules by kind, and how they are read where words leave a
// choice.
func rulesHelp() string {
	var b strings.Builder
	lines := func(s, indent string) {
		b.WriteString(strings.Join(doc.Wrap(s, helpWidth, indent), "\n") + "\n")
	}
	lines("The rules of a part, by their keys in a rig file. The first of each kind is what "+
		"a part has unless its rig says otherwise. Tails, the pedal and held notes compete "+
		"alike under class_order: false; the new note itself may be given up under "+
		"newcomer: competes.", "")
	for _, k := range alloc.Rules() {
		b.WriteByte('\n')
		lines(k.Key+": "+k.About, "")
		for _, r := range k.Rules {
			name := r.Name
			for _, line := range doc.Wrap(r.About, helpWidth-rulesColumn, "") {
				fmt.Fprintf(&b, "  %-*s%s\n", rulesColumn-2, name, line)
				name = ""
			}
		}
	}
	b.WriteString("\nWhere words leave a choice:\n")
	for _, r := range alloc.Readings() {
		lines("  - "+r, "  ")
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
