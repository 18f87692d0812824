package cli

import (
	"github.com/spf13/cobra"

	"choirloft/alloc"
	"choirloft/routing/plan"
)

// overrideFlags adds the overrides of one run to a command.
func overrideFlags(cmd *cobra.Command, o *plan.Overrides) {
	for _, f := range []struct {
		to          *[]string
		name, usage string
		values      []string
	}{
		{&o.Pick, "pick", "picking `RULE`, as in pad=nearest or same-key then lowest", pickNames()},
		{&o.Steal, "steal", "stealing `RULE`", alloc.StealNames()},
		{&o.Tails, "tails", "`known` or unknown to whoever picks", []string{"known", "unknown"}},
		{&o.SameKey, "same-key", "what a key struck again does, a `RULE`", alloc.SameKeyNames()},
		{&o.Voices, "voices", "keep the first `N` voices in service", nil},
		{&o.Release, "release", "`TIME` in which a tail falls by 60 dB, as in 1.2 s", nil},
		{&o.Unison, "unison", "voices a note: `N`, only 1 so far", nil},
	} {
		cmd.Flags().StringArrayVar(f.to, f.name, nil, f.usage)
		err := cmd.RegisterFlagCompletionFunc(f.name, cobra.FixedCompletions(f.values, cobra.ShellCompDirectiveNoFileComp))
		if err != nil {
			panic("bug: " + err.Error())
		}
	}
}
