package cli

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/licences"
)

// Every topic is listed, and printed in full by its name.
func TestTopics(t *testing.T) {
	list := run(t, "", "help").stdout
	require.Equal(t, run(t, "", "--help").stdout, list)
	for _, topic := range topics {
		got := run(t, "", "help", topic.name)
		require.Equal(t, exitFine, got.status)
		require.Empty(t, got.stderr)
		require.True(t, strings.TrimSpace(topic.text()) == strings.TrimSpace(got.stdout), topic.name)
		require.Regexp(t, `choirloft `+topic.name+` +`+topic.short, list)
	}
	for _, command := range commandNames() {
		require.Contains(t, list, "\n  "+command+" ")
		require.Equal(t, run(t, "", command, "--help").stdout, run(t, "", "help", command).stdout)
	}
	require.Contains(t, run(t, "", "help", "completion", "bash").stdout, "bash")
}

// Whoever asks for help that there is none about learns what there is.
func TestNoHelp(t *testing.T) {
	const there = ", there are the topics licences, results, rules and the commands "
	for asked, hint := range map[string]string{
		"nonsense": "see choirloft help", "ruels": "did you mean choirloft help rules?", "licenses": "did you mean choirloft help licences?",
		"repaly": "did you mean choirloft help replay?", "replay extra": "see choirloft help",
	} {
		got := run(t, "", append([]string{"help"}, strings.Fields(asked)...)...)
		require.Equal(t, exitUsage, got.status)
		require.Empty(t, got.stdout)
		require.Equal(t, "choirloft: no help about \""+asked+"\""+there+strings.Join(commandNames(), ", ")+"\n    "+hint+"\n", got.stderr)
	}
}

// Every module that go.mod names and this build links stands in the help, which
// begins with the list. That the text is whole is tested where it is made.
func TestHelpLicences(t *testing.T) {
	got := run(t, "", "help", "licences")
	require.True(t, strings.TrimSpace(licences.Text()) == strings.TrimSpace(got.stdout))
	list, _, _ := strings.Cut(got.stdout, "====")
	out, err := exec.Command("go", "list", "-deps", "-f", "{{with .Module}}{{if not .Main}}{{.Path}} {{.Version}}{{end}}{{end}}", "choirloft/cmd/choirloft").Output()
	require.NoError(t, err)
	mod, err := os.ReadFile(filepath.Join(top, "go.mod"))
	require.NoError(t, err)
	for _, module := range strings.Split(strings.TrimSpace(string(out)), "\n") {
		require.Contains(t, string(mod), module)
		require.Contains(t, list, "  "+module+"  ")
		require.Contains(t, got.stdout, "\n==== "+module+": ")
	}
}
