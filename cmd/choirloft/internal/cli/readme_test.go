package cli

import (
	"bytes"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/help"
	"choirloft/profiles/unit"
)

// What README.md shows is true. Its blocks say what they are: "console" holds
// commands behind "$ " and what they print, "sh" the two commands to copy, "bash"
// commands for a song of one's own, "yaml" the rig in testdata that made the picture.

const (
	readmeRig = "testdata/ten-lines.yaml"
	goRun     = "go run ./cmd/choirloft "

	mostReadme      = 160 // lines
	mostReadmeWords = 760 // of prose: three minutes and a half at 220 a minute
)

// fence is a block of README.md: its kind and its lines.
var fence = regexp.MustCompile("(?ms)^```([a-z]+)\n(.*?)^```\n")

func readme(t *testing.T) string {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(top, "README.md"))
	require.NoError(t, err)
	return string(data)
}

// blocks returns the blocks of one kind.
func blocks(t *testing.T, kind string) []string {
	t.Helper()
	var found []string
	for _, m := range fence.FindAllStringSubmatch(readme(t), -1) {
		if m[1] == kind {
			found = append(found, m[2])
		}
	}
	require.NotEmpty(t, found, kind)
	return found
}

// readmeFolder makes a folder with what a reader of README.md has: testdata.
func readmeFolder(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	require.NoError(t, os.CopyFS(filepath.Join(dir, "testdata"), os.DirFS(filepath.Join(top, "testdata"))))
	return dir
}

// runLine runs a command of README.md and returns what it prints, as much of it as
// "| head -n N" behind it asks for.
func runLine(t *testing.T, line string) string {
	t.Helper()
	command, first, cut := strings.Cut(line, " | head -n ")
	args, found := strings.CutPrefix(command, goRun)
	if !found {
		args, found = strings.CutPrefix(command, "choirloft ")
	}
	require.True(t, found, "%s: want a command that begins with choirloft or %s", line, goRun)
	var out bytes.Buffer
	require.Equal(t, exitFine, Run(t.Context(), words(args), strings.NewReader(""), &out, &out), "%s\n%s", line, &out)
	lines := slices.Collect(strings.Lines(out.String()))
	if n, err := strconv.Atoi(first); cut {
		require.NoError(t, err, line)
		require.Greater(t, len(lines), n, line)
		lines = lines[:n]
	}
	return strings.Join(lines, "")
}

// TestReadmeRig: the rig that README.md shows is the one in testdata.
func TestReadmeRig(t *testing.T) {
	rigs := blocks(t, "yaml")
	require.Len(t, rigs, 1)
	require.Equal(t, 10, strings.Count(rigs[0], "\n"), "README.md says ten lines")
	kept, err := os.ReadFile(filepath.Join(top, readmeRig))
	require.NoError(t, err)
	require.Equal(t, string(kept), rigs[0])
	require.Contains(t, readme(t), "`"+readmeRig+"`")
}

// TestReadmeSample ends with a sentence.
func TestReadmeSample(t *testing.T) {
	for _, shown := range blocks(t, "console") {
		require.Regexp(t, `\.\n$`, shown)
	}
}

// TestReadmeRuns compares with what README.md shows, or writes it there if
// UPDATE_GOLDEN is set.
func TestReadmeRuns(t *testing.T) {
	t.Chdir(readmeFolder(t))
	before := readme(t)
	after := fence.ReplaceAllStringFunc(before, func(block string) string {
		m := fence.FindStringSubmatch(block)
		if m[1] != "console" {
			return block
		}
		var now strings.Builder
		for line := range strings.Lines(m[2]) {
			if command, ok := strings.CutPrefix(line, "$ "); ok {
				now.WriteString(line + runLine(t, strings.TrimSpace(command)))
			}
		}
		return "```console\n" + now.String() + "```\n"
	})
	if os.Getenv("UPDATE_GOLDEN") != "" {
		require.NoError(t, os.WriteFile(filepath.Join(top, "README.md"), []byte(after), 0o644))
		return
	}
	require.Equal(t, after, before)
}

// TestReadmeCommands runs the first of the two commands that README.md offers
// to copy; the second is what runs this test.
func TestReadmeCommands(t *testing.T) {
	copied := blocks(t, "sh")
	require.Len(t, copied, 1)
	lines := strings.Split(strings.TrimSpace(copied[0]), "\n")
	require.Len(t, lines, 2)
	require.Equal(t, "go test ./...", lines[1])
	require.NotEmpty(t, runLine(t, lines[0]))
}

// TestReadmeSong runs the commands for a song of one's own, one after the other, word by word.
func TestReadmeSong(t *testing.T) {
	commands := blocks(t, "bash")
	require.Len(t, commands, 1)
	require.Equal(t, 4, strings.Count(commands[0], "\n"), "README.md says four commands")
	t.Chdir(readmeFolder(t))
	for line := range strings.Lines(commands[0]) {
		require.NotEmpty(t, runLine(t, strings.TrimSpace(line)))
	}
}

// TestReadmePicture draws the picture again by the command that README.md names.
// UPDATE_GOLDEN writes it.
func TestReadmePicture(t *testing.T) {
	text := readme(t)
	shown := regexp.MustCompile(`!\[[^]]+\]\(testdata/(\S+)\)`).FindAllStringSubmatch(text, -1)
	require.Len(t, shown, 1)
	command := regexp.MustCompile("`(choirloft [^`]* -o " + regexp.QuoteMeta(shown[0][1]) + ")`").FindStringSubmatch(text)
	require.NotNil(t, command)
	t.Chdir(readmeFolder(t))
	runLine(t, command[1])
	drawn, err := os.ReadFile(shown[0][1])
	require.NoError(t, err)
	golden(t, filepath.Join(top, "testdata", shown[0][1]), string(drawn))
}

// TestReadmeExplains: what README.md explains of an answer stands in the one it shows.
func TestReadmeExplains(t *testing.T) {
	shown := strings.ToLower(strings.Join(strings.Fields(strings.Join(blocks(t, "console"), " ")), " "))
	phrases := regexp.MustCompile(`(?m)^- \*([^*]+)\*`).FindAllStringSubmatch(readme(t), -1)
	require.NotEmpty(t, phrases)
	for _, phrase := range phrases {
		require.Contains(t, shown, strings.ToLower(phrase[1]))
	}
}

// TestReadmeIsShort: it is read in three minutes, and names every command and topic.
func TestReadmeIsShort(t *testing.T) {
	text := readme(t)
	require.LessOrEqual(t, strings.Count(text, "\n"), mostReadme)
	prose := fence.ReplaceAllString(text, "")
	require.LessOrEqual(t, len(regexp.MustCompile(`[\pL\d]\S*`).FindAllString(prose, -1)), mostReadmeWords)
	for _, command := range commandNames() {
		require.Contains(t, text, "\n| `"+command+"` | ")
	}
	_, list, found := strings.Cut(strings.Join(strings.Fields(text), " "), "topics of help are ")
	require.True(t, found)
	list, _, _ = strings.Cut(list, ". ")
	var topics []string
	for _, topic := range help.Topics() {
		topics = append(topics, topic.Name)
	}
	require.Equal(t, unit.List(topics), list)
}

// TestReadmeFiles looks for the files that README.md mentions.
func TestReadmeFiles(t *testing.T) {
	for _, name := range regexp.MustCompile(`testdata/[a-z./-]+[a-z]`).FindAllString(readme(t), -1) {
		require.FileExists(t, filepath.Join(top, name))
	}
}
