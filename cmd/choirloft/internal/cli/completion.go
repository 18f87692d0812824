package cli

import (
	"fmt"
	"io"

	"github.com/spf13/cobra"
)

// shells are those that completion knows, each with what writes its script.
var shells = []struct {
	name  string
	write func(root *cobra.Command, w io.Writer, describe bool) error
}{
	{"bash", (*cobra.Command).GenBashCompletionV2},
	{"zsh", func(root *cobra.Command, w io.Writer, describe bool) error {
		if !describe {
			return root.GenZshCompletionNoDesc(w)
		}
		return root.GenZshCompletion(w)
	}},
	{"fish", (*cobra.Command).GenFishCompletion},
	{"powershell", func(root *cobra.Command, w io.Writer, describe bool) error {
		if !describe {
			return root.GenPowerShellCompletion(w)
		}
		return root.GenPowerShellCompletionWithDesc(w)
	}},
}

func (a *app) completionCommand() *cobra.Command {
	bare := false
	var names []string
	for _, s := range shells {
		names = append(names, s.name)
	}
	c := &cobra.Command{
		Use:   "completion SHELL",
		Short: "Make your shell complete commands, flags and keys",
		Long: `completion prints a script for your shell: bash, zsh, fish or powershell. With it
the shell completes commands, flags, rules and keys of the rig file. A new shell has it
if its start file reads it.

For bash, with the package bash-completion, in ~/.bashrc:

    source <(choirloft completion bash)

For zsh, after compinit in ~/.zshrc:

    source <(choirloft completion zsh)

For fish, in config.fish:

    choirloft completion fish | source

For PowerShell, in its profile:

    choirloft completion powershell |
      Out-String | Invoke-Expression

Exit status: 0 fine, 2 a wrong command line, 3 could not run.`,
		Example:   "  choirloft completion bash",
		Args:      count(1, 1, "bash, zsh, fish or powershell"),
		ValidArgs: names,
		RunE: func(c *cobra.Command, args []string) error {
			for _, s := range shells {
				if s.name == args[0] {
					return s.write(c.Root(), a.stdout, !bare)
				}
			}
			return &usageError{fmt.Sprintf("found the shell %q, want bash, zsh, fish or powershell", args[0]), "see choirloft completion --help"}
		},
	}
	c.Flags().BoolVar(&bare, "no-descriptions", false, "complete names without what they mean")
	return c
}
