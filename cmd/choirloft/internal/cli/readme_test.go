package cli

import (
	"bytes"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// What README.md shows is true. Its blocks say what they are: "console" holds
// commands behind "$ " and all that they print, "sh" commands to copy, "yaml"
// a rig to save as my-wall.yaml.

const (
	readmeRig = "my-wall.yaml"
	goRun     = "go run ./cmd/choirloft "
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

// readmeFolder makes a folder with what a reader of README.md has: testdata,
// and the rig that it shows.
func readmeFolder(t *testing.T) string {
	t.Helper()
	rigs := blocks(t, "yaml")
	require.Len(t, rigs, 1)
	require.Equal(t, 10, strings.Count(rigs[0], "\n"), "README.md says ten lines")
	dir := scratch(t, map[string]string{readmeRig: rigs[0]})
	require.NoError(t, os.CopyFS(filepath.Join(dir, "testdata"), os.DirFS(filepath.Join(top, "testdata"))))
	return dir
}

// runLine runs a command of README.md and returns all that it prints.
func runLine(t *testing.T, line string) string {
	t.Helper()
	args, found := strings.CutPrefix(line, goRun)
	require.True(t, found, "%s: want a command that begins with %s", line, goRun)
	var out bytes.Buffer
	require.Equal(t, exitFine, Run(t.Context(), words(args), strings.NewReader(""), &out, &out), "%s\n%s", line, &out)
	return out.String()
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

// TestReadmeFiles looks for the files that README.md mentions.
func TestReadmeFiles(t *testing.T) {
	for _, name := range regexp.MustCompile(`testdata/[a-z./-]+[a-z]`).FindAllString(readme(t), -1) {
		require.FileExists(t, filepath.Join(top, name))
	}
}
