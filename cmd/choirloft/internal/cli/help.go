package cli

import (
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/spf13/cobra"

	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/cmd/choirloft/internal/help"
	"choirloft/profiles"
	"choirloft/profiles/pattern"
	"choirloft/profiles/unit"
)

// groups are the commands as the overview lists them, the most asked for first.
var groups = []struct {
	title    string
	commands []string
}{
	{"A song on your rack", []string{"new", "check", "replay", "size", "listen"}},
	{"At the rack", []string{"map", "tune", "repatch", "write", "live"}},
	{"Besides", []string{"serve", "completion", "help"}},
}

// addHelp adds the topics, the command that shows them and the commands, and how
// help is laid out.
func (a *app) addHelp(root *cobra.Command) {
	for _, t := range help.Topics() {
		if commandOf(root, t.Name) == nil { // else it follows the command of its name
			root.AddCommand(&cobra.Command{Use: t.Name, Short: t.Short})
		}
	}
	root.SetHelpFunc(func(c *cobra.Command, _ []string) {
		if _, err := fmt.Fprint(c.OutOrStdout(), helpOf(c, width(a.stdout))); err != nil {
			a.complain("standard output: "+reason(err), "")
		}
	})
	root.SetHelpCommand(&cobra.Command{
		Use:   "help [COMMAND or TOPIC]",
		Short: "Explain a command, a topic or a key of the rig file",
		Long: `help explains a command, or one of the topics that are no commands; without
either it lists all there are. help rig KEY explains a key of the rig file.`,
		Example:           "  choirloft help results\n  choirloft help rig release\n  choirloft help rig banks.lanes",
		Args:              cobra.ArbitraryArgs,
		ValidArgsFunction: completeHelp,
		RunE:              func(c *cobra.Command, args []string) error { return a.help(root, args) },
	})
}

// completeHelp completes topics and commands, and keys of the rig file.
func completeHelp(c *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
	switch {
	case len(args) == 0:
		commands, topics := helpNames(c.Root())
		return append(commands, topics...), cobra.ShellCompDirectiveNoFileComp
	case len(args) == 1 && args[0] == "rig":
		return help.KeyNames(), cobra.ShellCompDirectiveNoFileComp
	}
	return nil, cobra.ShellCompDirectiveNoFileComp
}

// help prints what there is about a command, a topic or a key of the rig file. A
// topic with the name of a command follows the help of that.
func (a *app) help(root *cobra.Command, args []string) error {
	if len(args) == 2 && args[0] == "rig" {
		return a.explainKey(args[1])
	}
	about, rest, err := root.Find(args)
	if named := len(rest) == 1 && slices.Contains(about.ValidArgs, rest[0]); err != nil || len(rest) > 0 && !named {
		return a.noHelp(root, strings.Join(args, " "))
	}
	about.InitDefaultHelpFlag()
	text := helpOf(about, width(a.stdout))
	if t := topicOf(about); t != nil && about.Runnable() {
		text += "\n" + t.Print(width(a.stdout))
	}
	return a.print([]byte(text))
}

// explainKey prints what a key of the rig file means, or names the nearest.
func (a *app) explainKey(asked string) error {
	if text := help.Explain(asked); text != "" {
		return a.print([]byte(help.Layout(text, width(a.stdout))))
	}
	hint := "choirloft help rig lists them all"
	if k, ok := profiles.NearestKey(asked); ok {
		hint = fmt.Sprintf("did you mean %s? %s", k.Name(), k.Explained())
	}
	return &usageError{fmt.Sprintf("no key %q in a rig file", asked), hint}
}

// topicOf is the topic of the name of a command; nil where there is none.
func topicOf(c *cobra.Command) *help.Topic {
	all := help.Topics()
	at := slices.IndexFunc(all, func(t help.Topic) bool { return c.Parent() == c.Root() && t.Name == c.Name() })
	if at < 0 {
		return nil
	}
	return &all[at]
}

// helpOf is the help about a command, or a topic.
func helpOf(c *cobra.Command, width int) string {
	switch t := topicOf(c); {
	case c == c.Root():
		return help.Layout(overview(c), width)
	case t != nil && !c.Runnable():
		return t.Print(width)
	}
	var b strings.Builder
	b.WriteString(help.Layout(c.Long, width))
	fmt.Fprintf(&b, "\nUsage:\n  %s\n", c.UseLine())
	if c.Example != "" {
		b.WriteString("\nExamples:\n")
		for line := range strings.Lines(c.Example) {
			b.WriteString(continued(strings.TrimSuffix(line, "\n"), width))
		}
	}
	b.WriteString("\nFlags:\n" + c.LocalFlags().FlagUsagesWrapped(width))
	if more := topicsOf(c); more != "" {
		b.WriteString("\n" + help.Layout("More with choirloft help TOPIC: "+more+".", width))
	}
	return b.String()
}

// argument is one of a command line as a shell reads it: a quoted one is whole.
var argument = pattern.Of(`(?:[^ "]|"[^"]*")+`)

// continued breaks a command line before an argument.
func continued(line string, width int) string {
	const indent = "      "
	lines, last := []string{}, " "
	for _, arg := range argument().FindAllString(line, -1) {
		if utf8.RuneCountInString(last+" "+arg)+len(` \`) > width && last != indent[1:] {
			lines, last = append(lines, last), indent[1:]
		}
		last += " " + arg
	}
	return strings.Join(append(lines, last), " \\\n") + "\n"
}

// topicsOf lists the topics that belong to a command, but for that of its own name.
func topicsOf(c *cobra.Command) string {
	var all []string
	for _, t := range help.Topics() {
		if slices.Contains(t.Commands, c.Name()) && t.Name != c.Name() {
			all = append(all, t.Name)
		}
	}
	return strings.Join(all, ", ")
}

// overview lists commands and topics, before it is laid out.
func overview(root *cobra.Command) string {
	var b strings.Builder
	b.WriteString(root.Long + "\n\n    " + strings.TrimSpace(root.Example) + "\n")
	for _, g := range groups {
		b.WriteString("\n" + g.title + "\n")
		for _, name := range g.commands {
			if c := commandOf(root, name); c != nil { // that of help comes when the program runs
				fmt.Fprintf(&b, "  %s  %s\n", name, c.Short)
			}
		}
	}
	b.WriteString("\nTopics, with choirloft help TOPIC\n")
	for _, t := range help.Topics() {
		fmt.Fprintf(&b, "  %s  %s\n", t.Name, t.Short)
	}
	b.WriteString("\nchoirloft COMMAND --help says more; choirloft --version says which build this is.\n")
	return b.String()
}

// commandOf is the command or topic of a name; nil where there is none.
func commandOf(root *cobra.Command, name string) *cobra.Command {
	all := root.Commands()
	if at := slices.IndexFunc(all, func(c *cobra.Command) bool { return c.Name() == name }); at >= 0 {
		return all[at]
	}
	return nil
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
func (a *app) noHelp(root *cobra.Command, asked string) error {
	commands, topics := helpNames(root)
	hint := "see choirloft help"
	if name, ok := unit.Nearest(asked, slices.Concat(topics, commands)); ok {
		hint = "did you mean choirloft help " + name + "?"
	}
	if help.Explain(asked) != "" {
		return &usageError{fmt.Sprintf("no help about %q", asked), "it is a word of the rig file: choirloft help rig " + asked}
	}
	all := fmt.Sprintf("there are the topics %s and the commands %s", strings.Join(topics, ", "), strings.Join(commands, ", "))
	lines := append(doc.Wrap(all, width(a.stderr)-hintIndent, ""), hint)
	return &usageError{fmt.Sprintf("no help about %q", asked), strings.Join(lines, "\n")}
}
