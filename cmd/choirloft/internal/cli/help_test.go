package cli

import (
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/help"
	"choirloft/cmd/choirloft/internal/licences"
	"choirloft/midi/corpora"
)

// topicNames are the topics that are no commands, as they are listed.
func topicNames() []string {
	var names []string
	for _, topic := range help.Topics() {
		if !slices.Contains(commandNames(), topic.Name) {
			names = append(names, topic.Name)
		}
	}
	slices.Sort(names)
	return names
}

// The overview lists every command and every topic, and fits a screen.
func TestOverview(t *testing.T) {
	t.Setenv("COLUMNS", "80")
	list := run(t, "", "help").stdout
	require.Equal(t, list, run(t, "", "--help").stdout)
	require.Equal(t, list, run(t, "").stdout)
	require.LessOrEqual(t, strings.Count(list, "\n"), mostLines)
	for line := range strings.Lines(list) {
		require.LessOrEqual(t, utf8.RuneCountInString(strings.TrimSuffix(line, "\n")), 80, line)
	}
	for _, command := range commandNames() {
		require.Regexp(t, `(?m)^  `+command+` +[A-Z]`, list)
	}
	for _, topic := range help.Topics() {
		require.Regexp(t, `(?m)^  `+topic.Name+` +`+regexp.QuoteMeta(topic.Short)+`$`, list)
	}
}

// A command that has limits says in its help that --yes lifts them.
func TestHelpNamesYes(t *testing.T) {
	limited := 0
	for _, command := range commandNames() {
		said, flags, _ := strings.Cut(run(t, "", command, "--help").stdout, "\nFlags:")
		if strings.Contains(flags, "--yes") {
			require.Contains(t, said, "--yes", command)
			limited++
		}
	}
	require.Equal(t, 8, limited, "check, listen, map, repatch, replay, size, tune and write")
}

// What tune does and how it is called is read on one screen, and so is what a take is.
func TestTuneAndTakeOnAScreen(t *testing.T) {
	t.Setenv("COLUMNS", "80")
	said, _, found := strings.Cut(run(t, "", "tune", "--help").stdout, "\nFlags:")
	require.True(t, found)
	require.LessOrEqual(t, strings.Count(said, "\n"), 40)
	require.LessOrEqual(t, strings.Count(run(t, "", "help", "take").stdout, "\n"), mostLines)
}

// Every topic is printed by its name, for the width there is; one with the name of a
// command behind the help of that.
func TestTopics(t *testing.T) {
	for _, columns := range []string{"60", "120"} {
		t.Setenv("COLUMNS", columns)
		for _, topic := range help.Topics() {
			got := run(t, "", "help", topic.Name)
			require.Equal(t, exitFine, got.status)
			require.Empty(t, got.stderr)
			want := topic.Print(map[string]int{"60": 60, "120": 120}[columns])
			if slices.Contains(commandNames(), topic.Name) {
				want = run(t, "", topic.Name, "--help").stdout + "\n" + want
			} else {
				require.True(t, got.stdout == run(t, "", topic.Name).stdout, topic.Name)
			}
			require.True(t, want == got.stdout, topic.Name)
		}
	}
	for _, columns := range []int{60, 80, 120} {
		t.Setenv("COLUMNS", strconv.Itoa(columns))
		for _, command := range commandNames() {
			text := run(t, "", command, "--help").stdout
			for line := range strings.Lines(text) {
				if strings.HasPrefix(line, `      "pad=`) {
					continue // an argument in quotes stays whole
				}
				require.LessOrEqual(t, utf8.RuneCountInString(strings.TrimSuffix(line, "\n")), columns, "%s: %s", command, line)
			}
		}
	}
	for _, command := range commandNames() {
		said := run(t, "", command, "--help").stdout
		require.True(t, strings.HasPrefix(run(t, "", "help", command).stdout, said), command)
		for _, topic := range help.Topics() {
			if slices.Contains(topic.Commands, command) && topic.Name != command {
				require.Regexp(t, `help TOPIC:( |[^.]*, )`+topic.Name+`[,.]`, strings.Join(strings.Fields(said), " "))
			}
		}
	}
	require.Contains(t, run(t, "", "help", "completion", "bash").stdout, "bash")
	require.Contains(t, run(t, "", "help", "completion").stdout, "fish")
}

// Whoever asks for help that there is none about learns what there is.
func TestNoHelp(t *testing.T) {
	there := "there are the topics " + strings.Join(topicNames(), ", ") + " and the commands " + strings.Join(commandNames(), ", ")
	for asked, hint := range map[string]string{
		"nonsense": "see choirloft help", "ruels": "did you mean choirloft help rules?", "licenses": "did you mean choirloft help licences?",
		"repaly": "did you mean choirloft help replay?", "replay extra": "see choirloft help", "rig release more": "see choirloft help",
	} {
		got := run(t, "", append([]string{"help"}, strings.Fields(asked)...)...)
		require.Equal(t, exitUsage, got.status)
		require.Empty(t, got.stdout)
		require.Equal(t, strings.Fields("choirloft: no help about \""+asked+"\" "+there+" "+hint), strings.Fields(got.stderr))
		require.Contains(t, got.stderr, "\n    "+hint+"\n")
		for line := range strings.Lines(got.stderr) {
			require.LessOrEqual(t, len(line), 81, line)
		}
	}
}

// help rig KEY explains a key, and names the nearest with its meaning where there is
// none.
func TestHelpRigKey(t *testing.T) {
	t.Setenv("COLUMNS", "70")
	for _, key := range []string{"release", "banks.lanes", "zero_key", "hp", "wiring[0].from"} {
		got := run(t, "", "help", "rig", key)
		require.Equal(t, exitFine, got.status, got.stderr)
		require.Equal(t, help.Layout(help.Key(key), 70), got.stdout)
	}
	for asked, want := range map[string]string{
		"relase":    "choirloft: no key \"relase\" in a rig file\n    did you mean release? how long a tail takes to fall by 60 dB; a time constant is multiplied by 6.9, such as release: 1.2 s\n",
		"xylophone": "choirloft: no key \"xylophone\" in a rig file\n    choirloft help rig lists them all\n",
	} {
		got := run(t, "", "help", "rig", asked)
		require.Equal(t, exitUsage, got.status)
		require.Empty(t, got.stdout)
		require.Equal(t, want, got.stderr)
	}
}

// A shell completes topics, commands and keys.
func TestHelpCompletes(t *testing.T) {
	complete := func(args ...string) []string {
		return strings.Fields(run(t, "", append([]string{"__complete", "help"}, args...)...).stdout)
	}
	require.Subset(t, complete(""), append(topicNames(), "replay", "size"))
	require.Subset(t, complete("rig", ""), []string{"release", "banks.lanes", "zero_key"})
	require.NotContains(t, complete("rules", ""), "release")
}

// examplesOf are what a text of help keeps as it is: commands, pieces of a rig, readings.
func examplesOf(text string) []string {
	var all []string
	kept, open := true, false
	for line := range strings.Lines(text) {
		example, indented := strings.CutPrefix(line, "    ")
		switch {
		case kept && indented && open:
			all[len(all)-1] += example
		case kept && indented:
			all, open = append(all, example), true
		default:
			kept, open = strings.TrimSpace(line) == "", false
		}
	}
	return all
}

// TestTopicExamples runs every command that a topic shows, in a folder with the rig
// of README.md, what the topic adds to it, an excerpt of the demo, and readings of the topic.
func TestTopicExamples(t *testing.T) {
	wall := blocks(t, "yaml")[0]
	song, err := os.ReadFile(excerpt(t, t.TempDir()))
	require.NoError(t, err)
	for i, topic := range help.Topics() {
		if topic.Quoted || i%corpora.Some(3, 1) > 0 {
			continue
		}
		files := map[string]string{"my-wall.yaml": wall, "song.mid": string(song)}
		var commands []string
		for _, example := range examplesOf(topic.Text()) {
			switch {
			case strings.HasPrefix(example, "choirloft "):
				commands = append(commands, strings.Split(strings.TrimSpace(strings.ReplaceAll(example, "\\\n", " ")), "\n")...)
			case strings.HasPrefix(example, "voice,"):
				files["readings.csv"] = example
			case strings.HasPrefix(example, "Bank,"):
				files["wall.csv"] = example
			case strings.HasPrefix(example, "rig: Stage\n"):
				files["stage.yaml"] = example
			case topic.Name == "rig":
				require.Equal(t, wall, example, "README.md shows the rig of help")
			default:
				files["my-wall.yaml"] += example
			}
		}
		require.NotEmpty(t, commands, topic.Name)
		dir := scratch(t, files)
		for _, command := range commands {
			runsInTopic(t, dir, command)
		}
	}
}

// TestTopicJSON: the fields that the topic names are in what the commands print.
func TestTopicJSON(t *testing.T) {
	text := run(t, "", "help", "json").stdout
	for command, args := range map[string][]string{
		"replay": {demoRig, demoSong, "--voices", "8", "--all"}, "size": {demoRig, demoSong}, "check": {"testdata/rigs/one-jack.yaml"}, "map": {demoRig},
	} {
		_, named, found := strings.Cut(text, "\n  "+command+" ")
		require.True(t, found)
		named = regexp.MustCompile(`\n(?:  \S|\n)`).Split(named, 2)[0]
		printed := run(t, "", append(append([]string{command}, args...), "--json")...).stdout
		fields := regexp.MustCompile(`"(\w+)"`).FindAllString(named, -1)
		require.NotEmpty(t, fields)
		for _, field := range fields {
			require.Contains(t, printed, field+": ", command)
		}
	}
}

// runsInTopic runs a command of a topic. Where it names devices it reads one note and
// writes into nothing.
func runsInTopic(t *testing.T, dir, command string) {
	t.Helper()
	args := words(strings.NewReplacer("/dev/midi1", "-", "/dev/midi2", os.DevNull).Replace(command))[1:]
	if args[0] == "serve" {
		serves(t, dir, args)
		return
	}
	got := runIn(t, dir, "\x90\x3c\x40\x80\x3c\x40", args...)
	require.Equal(t, exitFine, got.status, "%s\n%s%s", command, got.stdout, got.stderr)
	for i, arg := range args[:len(args)-1] {
		if arg == "-o" || arg == "--log" {
			require.FileExists(t, args[i+1], command)
		}
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
