package cli

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/spf13/cobra"
	"github.com/stretchr/testify/require"

	"choirloft/midi"
	"choirloft/midi/corpora"
)

// golden compares with a file of testdata, or writes it if UPDATE_GOLDEN is
// set.
func golden(t *testing.T, path, got string) {
	t.Helper()
	if os.Getenv("UPDATE_GOLDEN") != "" {
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o777))
		require.NoError(t, os.WriteFile(path, []byte(got), 0o666))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err)
	if !utf8.Valid(want) { // a PDF or a PNG, which nobody reads as a difference
		require.True(t, string(want) == got, "%s differs", filepath.Base(path))
		return
	}
	require.Equal(t, string(want), got)
}

func TestGolden(t *testing.T) {
	for name, args := range map[string][]string{
		"replay-demo.txt":     {"replay", demoRig, demoSong},
		"replay-demo.json":    {"replay", demoRig, demoSong, "--json"},
		"replay-8-voices.txt": {"replay", demoRig, demoSong, "--voices", "8", "--steal", "oldest"},
		"replay-unknown.txt":  {"replay", demoRig, demoSong, "--pick", "lowest", "--tails", "unknown"},
		"replay-several.txt":  {"replay", demoRig, demoSong, demoSong, "--voices", "10"},
		"size-demo.txt":       {"size", demoRig, demoSong},
		"size-demo.json":      {"size", demoRig, demoSong, "--voices", "12", "--json", "--drill", "--by", "part"},
		"size-more.txt":       {"size", demoRig, demoSong, "--voices", "12", "--pairs", "--sensitivity", "--drill", "--by", "part"},
		"size-racks.txt":      {"size", demoRig, demoSong, "--by", "bank", "--rack", "4x4", "--rack", "big=6x4", "--price", "voice 90, bank 40"},
		"size-several.txt":    {"size", demoRig, demoSong, demoSong},
		"size-playing.txt":    {"size", demoRig, "--playing", "pad=chords of 3-5, 20 a minute, 3 s, pedal 6 s + bass=notes, 2 a second, 0.4 s, even"},
		"size-playing.json":   {"size", demoRig, "--playing", "chords of 4, 2 a second, 0.8 s", "--json"},
		"check-demo.txt":      {"check", demoRig},
		"check-demo.json":     {"check", demoRig, "--json"},
		"check-song.txt":      {"check", demoRig, "--song", demoSong},
		"check-song.json":     {"check", demoRig, "--song", demoSong, "--json"},
		"map-demo.txt":        {"map", demoRig},
		"map-demo.json":       {"map", demoRig, "--json"},
		"map-unison.txt":      {"map", demoRig, "--unison", "pad=4", "--unison", "lead=5"},
		"map-pitch.txt":       {"map", demoRig, "--pitch", "K1"},
		"map-pitch.json":      {"map", fullRig, "--pitch", "K1", "--json"},
		"tune-demo.txt":       {"tune", demoRig, "testdata/kiln-yard-readings.csv"},
		"tune-demo.json":      {"tune", demoRig, "testdata/kiln-yard-readings.csv", "--json"},
		"map-without.txt":     {"map", demoRig, "--without", "M1", "--song", demoSong},
		"map-without.json":    {"map", fullRig, "--without", "P1", "--song", demoSong, "--json"},
		"repatch-full.txt":    {"repatch", fullRig, "studio", "stage"},
		"repatch-full.json":   {"repatch", fullRig, "stage", "studio", "--json"},
		"new-song.yaml":       {"new", "--song", demoSong},
		"new-list.txt":        {"new", "--song", demoSong, "--list"},
		"new-list.json":       {"new", "--song", demoSong, "--list", "--json"},
	} {
		t.Run(name, func(t *testing.T) {
			if os.Getenv("UPDATE_GOLDEN") == "" && corpora.Some(1, 0) == 1 && slices.Contains(args, "--drill") {
				return // one of these takes as long as all the others
			}
			got := run(t, "", args...)
			require.Equal(t, exitFine, got.status, got.stderr)
			golden(t, filepath.Join(goldens, name), got.stdout)
		})
	}
}

// TestGoldenFiles holds the formats that are written to files alone: of a small rack and of
// four bars, so that they stay small.
func TestGoldenFiles(t *testing.T) {
	for name, args := range map[string][]string{
		"map-demo.csv": {"map", demoRig}, "map-demo.md": {"map", demoRig},
		"map-shelves.pdf": {"map", "testdata/rigs/two-shelves.yaml"}, "map-shelves.svg": {"map", "testdata/rigs/two-shelves.yaml"}, "map-shelves.html": {"map", "testdata/rigs/two-shelves.yaml"}, "map-pitch.svg": {"map", demoRig, "--pitch", "K1"},
		"lanes-demo.pdf": {"replay", demoRig, demoSong, "--voices", "10", "--from", "9", "--to", "12"}, "lanes-demo.png": {"replay", demoRig, demoSong, "--from", "9", "--to", "12"},
		"replay-demo.html": {"replay", demoRig, demoSong, "--from", "9", "--to", "12"}, "replay-demo.pdf": {"replay", demoRig, demoSong, "--report", "--paper", "letter", "--from", "9", "--to", "12"},
		"curve-demo.svg": {"size", demoRig, demoSong}, "size-demo.pdf": {"size", demoRig, demoSong, "--report"}, "repatch-full.csv": {"repatch", fullRig, "studio", "stage"},
	} {
		file := filepath.Join(t.TempDir(), name)
		got := run(t, "", append(args, "-o", file)...)
		require.Equal(t, exitFine, got.status, got.stderr)
		require.Equal(t, "Written: "+file+"\n", got.stdout)
		data, err := os.ReadFile(file)
		require.NoError(t, err)
		golden(t, filepath.Join(goldens, name), string(data))
	}
}

// TestGoldenWritten holds what is printed about files, and a dealt file itself.
func TestGoldenWritten(t *testing.T) {
	dir := readmeFolder(t)
	for name, args := range map[string][]string{
		"write-demo.txt":   {demoSong},
		"write-passes.txt": {demoSong, "--voices", "8", "--passes", "fewest"},
		"line-check.txt":   {"--line-check", "--unison", "pad=4"},
		"take.txt":         {"--take", "--short", "--only", "K1,P4"},
	} {
		got := runIn(t, dir, "", append([]string{"write", demoRig, "-o", "dealt.mid"}, args...)...)
		require.Equal(t, exitFine, got.status, got.stderr)
		golden(t, filepath.Join(goldens, name), got.stdout)
		for line := range strings.Lines(got.stdout) {
			if strings.HasSuffix(name, ".txt") {
				require.LessOrEqual(t, len([]rune(strings.TrimSuffix(line, "\n"))), 100, line)
			}
		}
	}
}

// TestScreen holds the view of a song, and that of a way of playing, to about a
// screen: 100 columns, and about 40 lines.
func TestScreen(t *testing.T) {
	corpora.Patient(t)
	t.Setenv("COLUMNS", "100")
	for _, args := range [][]string{
		{"replay", demoRig, demoSong, "--voices", "2"}, {"replay", demoRig, demoSong, "--voices", "8"}, {"replay", demoRig, demoSong, "--voices", "19"},
		{"size", demoRig, "--playing", "chords of 4, 2 a second, 0.8 s"}, {"size", demoRig, "--playing", "notes, 2 a second, 1 s"},
		{"size", demoRig, "--playing", "chords of 4, 2 a second, 0.5 s, even, pedal 2 s + arp=notes, 8 a second, 0.1 s, even"},
	} {
		lines := strings.Split(strings.TrimSuffix(run(t, "", args...).stdout, "\n"), "\n")
		require.LessOrEqual(t, len(lines), 48, args)
		for _, line := range lines {
			require.LessOrEqual(t, len([]rune(line)), 100, line)
			require.Equal(t, strings.TrimRight(line, " "), line)
			require.NotContains(t, line, "\x1b", "colour into a pipe")
		}
	}
}

// TestHelpExamples runs every example that help shows, of an excerpt.
func TestHelpExamples(t *testing.T) {
	corpora.Patient(t)
	var examples []string
	var visit func(*cobra.Command)
	visit = func(c *cobra.Command) {
		if c.Example != "" {
			examples = append(examples, strings.Split(c.Example, "\n")...)
		}
		for _, sub := range c.Commands() {
			visit(sub)
		}
	}
	visit((&app{}).root())
	require.GreaterOrEqual(t, len(examples), 5)
	folder := readmeFolder(t) // examples may write files
	song := excerpt(t, filepath.Join(folder, "testdata"))
	for name, file := range map[string]string{"my-wall.yaml": filepath.Join(top, demoRig), "song.mid": song} {
		data, err := os.ReadFile(file)
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(filepath.Join(folder, name), data, 0o666))
	}
	for i := 0; i < len(examples); i += corpora.Some(4, 1) {
		example := examples[i]
		args := words(example)
		require.Equal(t, "choirloft", args[0])
		if args[1] == "serve" { // it goes on until it is ended
			serves(t, folder, args[1:])
			continue
		}
		if strings.Contains(example, "recording.wav") {
			require.NoError(t, os.WriteFile(filepath.Join(folder, "rig.yaml"), []byte(takenWall+fmt.Sprintf(takenKind, "2.4 s")), 0o666))
			_, _, wav := shortTake(t, folder, map[midi.Channel]float64{0: 1, 1: -1, 2: 0})
			require.NoError(t, os.Rename(wav, filepath.Join(folder, "recording.wav")))
		}
		got := runIn(t, folder, "", args[1:]...)
		require.Equal(t, exitFine, got.status, "%s: %s", example, got.stderr)
		require.NotEmpty(t, got.stdout)
	}
}

// serves runs an example of serve until it says where it is, without opening a browser and
// on any port.
func serves(t *testing.T, folder string, args []string) {
	t.Helper()
	t.Chdir(folder)
	args = append(slices.DeleteFunc(slices.Clone(args), func(a string) bool { return a == "--open" }), "--port", "0")
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	var out, errs lines
	status := make(chan int, 1)
	go func() { status <- Run(ctx, args, strings.NewReader(""), &out, &errs) }()
	soon(t, func() bool { return strings.HasSuffix(out.String(), "\n") || len(status) > 0 }, "the address")
	cancel()
	require.Equal(t, exitFine, <-status, errs.String())
	require.Regexp(t, `^http://127\.0\.0\.1:[0-9]+/\n(http://\S+/[2-7A-Z]{26}/\n)*$`, out.String())
}

// words splits a command line at spaces outside of double quotes.
func words(line string) []string {
	var words []string
	for i, part := range strings.Split(line, `"`) {
		if i%2 == 1 {
			words = append(words, part)
			continue
		}
		words = append(words, strings.Fields(part)...)
	}
	return words
}
