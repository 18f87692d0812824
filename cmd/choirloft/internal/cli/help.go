package cli

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"choirloft/cmd/choirloft/internal/licences"
	"choirloft/profiles/unit"
)

// topic is no command but a page of help.
type topic struct {
	name, short string
	text        func() string
}

// topics are the pages of help beside those of the commands.
var topics = []topic{
	{"rules", "What each rule of a part does", rulesHelp},
	{"results", "What each word and column of a result means", resultsHelp},
	{"licences", "The licences of what choirloft is made with", licences.Text},
}

// addHelp adds the topics, and the command that shows them and the commands.
func addHelp(root *cobra.Command) {
	for _, t := range topics {
		root.AddCommand(&cobra.Command{Use: t.name, Short: t.short, Long: strings.TrimRight(t.text(), "\n")})
	}
	root.SetHelpCommand(&cobra.Command{
		Use:   "help [COMMAND or TOPIC]",
		Short: "Explain a command or a topic",
		Long: `help explains a command, or one of the topics that are no commands; without
either it lists all there are.`,
		Args: cobra.ArbitraryArgs,
		ValidArgsFunction: func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
			commands, topics := helpNames(root)
			return append(commands, topics...), cobra.ShellCompDirectiveNoFileComp
		},
		RunE: func(_ *cobra.Command, args []string) error {
			about, rest, err := root.Find(args)
			if err != nil || len(rest) > 0 {
				return noHelp(root, strings.Join(args, " "))
			}
			about.InitDefaultHelpFlag()
			return about.Help()
		},
	})
}

// helpNames lists the commands and the topics that there are.
func helpNames(root *cobra.Command) (commands, topics []string) {
	for _, c := range root.Commands() {
		switch {
		case c.IsAvailableCommand():
			commands = append(commands, c.Name())
		case c.IsAdditionalHelpTopicCommand():
			topics = append(topics, c.Name())
		}
	}
	return commands, topics
}

// noHelp says that there is no help about something, and about what there is.
func noHelp(root *cobra.Command, asked string) error {
	commands, topics := helpNames(root)
	hint := "see choirloft help"
	if name, ok := unit.Nearest(asked, append(topics, commands...)); ok {
		hint = "did you mean choirloft help " + name + "?"
	}
	return &usageError{fmt.Sprintf("no help about %q, there are the topics %s and the commands %s", asked, strings.Join(topics, ", "), strings.Join(commands, ", ")), hint}
}
