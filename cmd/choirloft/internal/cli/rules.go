package cli

import (
	"fmt"
	"strings"

	"choirloft/alloc"
	"choirloft/routing/plan"
)

// ruleNames lists the names of the rules, for commands that take them.
func ruleNames() string {
	var b strings.Builder
	b.WriteString("Rules, which choirloft help rules explains:\n")
	for _, rules := range []struct {
		what  string
		names []string
	}{
		{"picking", plan.PickNames()}, {"stealing", alloc.StealNames()}, {"same-key", alloc.SameKeyNames()},
	} {
		fmt.Fprintf(&b, "  %s  %s\n", rules.what, strings.Join(rules.names, ", "))
	}
	return b.String()
}
