package page

import (
	"os"
	"os/exec"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/midi"
)

// The command that is shown says to a shell what it means, where serve was typed, whatever files are
// called: their names are those words, and lie there.
func TestShownCommands(t *testing.T) {
	shell, err := exec.LookPath("sh")
	if err != nil {
		t.Skip("no sh on this machine")
	}
	rig, err := os.ReadFile(top + "testdata/kiln-yard.yaml")
	require.NoError(t, err)
	tune, err := os.ReadFile(top + "testdata/slow-kiln.mid")
	require.NoError(t, err)
	song, err := midi.Read(tune, midi.Options{})
	require.NoError(t, err)
	t.Chdir(t.TempDir())
	require.NoError(t, os.Mkdir("racks", 0o777))
	for _, name := range []string{"plain.yaml", "racks/it's mine.yaml", "a $(touch caught) `touch caught` \"b\".yaml", "--help", "~", "*", "two\nlines.yaml", `back\slash!.yaml`, "-", "a;b&c|d>e #f"} {
		require.NoError(t, os.WriteFile(name, rig, 0o666))
		desk, err := NewDesk(name, tools())
		require.NoError(t, err)
		s := &server{desk: desk}
		for _, path := range []string{"racks/it's mine.yaml", ""} {
			added, err := desk.Add("a song's name.mid", path, song)
			require.NoError(t, err)
			q := question{Flags: []string{"--release", "350 ms", "--without", "K1"}}
			o, err := s.overrides(&q)
			require.NoError(t, err)
			p, err := desk.plan(o)
			require.NoError(t, err)
			v := s.viewSet(p, o, added, nil)
			out, err := exec.Command(shell, "-c", `choirloft() { for word; do printf '%s\0' "$word"; done; }; `+v.Command).Output()
			require.NoError(t, err, v.Command)
			words := strings.Split(strings.TrimSuffix(string(out), "\x00"), "\x00")
			want := name
			if strings.HasPrefix(name, "-") {
				want = "./" + name
			}
			require.Equal(t, append([]string{"replay", want, added.typed()}, o.Flags()...), words)
			require.FileExists(t, words[1])
			require.Equal(t, path == "", v.Note == "Write where a song's name.mid lies: a browser does not tell.")
			require.NoFileExists(t, "caught")
		}
	}
}
