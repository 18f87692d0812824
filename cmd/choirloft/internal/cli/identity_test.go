package cli

import (
	"bytes"
	"context"
	"html"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// The call on a picture is what one types again: files without folders, and words in quotes
// where a shell needs them.
func TestCommandLine(t *testing.T) {
	for want, args := range map[string][]string{
		"choirloft replay yard.yaml song.mid --voices 10 -o x.svg": {"replay", "a/b/yard.yaml", "/c/song.mid", "--voices", "10", "-o", "d/x.svg"},
		"choirloft size yard.yaml \"a song.mid\" --output=x.png":   {"size", "yard.yaml", "songs/a song.mid", "--output=pictures/x.png"},
		"choirloft map -ox.pdf \"it's.yaml\" --unison pad=4":       {"map", "-o/tmp/x.pdf", "it's.yaml", "--unison", "pad=4"},
	} {
		require.Equal(t, want, commandLine(args))
	}
}

// Every picture that goes out by itself says song, rig, rules, command and plan code, as
// text and in its description.
func TestPicturesSayWhatTheyAre(t *testing.T) {
	rig, song := filepath.Join(top, demoRig), filepath.Join(top, "testdata", "slow-kiln.mid")
	for _, x := range []struct {
		args []string
		says []string
	}{
		{[]string{"replay", rig, song, "--voices", "10"}, []string{"Slow Kiln", "Kiln Yard", "pick longest-idle, steal protect-outer", "choirloft replay kiln-yard.yaml slow-kiln.mid --voices 10", "plan 5VQEAVNK"}},
		{[]string{"size", rig, song}, []string{"Slow Kiln", "Kiln Yard", "pick longest-idle, steal protect-outer", "choirloft size kiln-yard.yaml slow-kiln.mid", "plan 6BGE2QGC"}},
		{[]string{"map", rig, "--pitch", "K1"}, []string{"Kiln Yard", "choirloft map kiln-yard.yaml --pitch K1", "plan 6BGE2QGC"}},
		{[]string{"map", rig}, []string{"Kiln Yard", "choirloft map kiln-yard.yaml", "6BGE2QGC"}},
	} {
		file := filepath.Join(t.TempDir(), "picture.svg")
		var out, complaints bytes.Buffer
		require.Equal(t, exitFine, Run(context.Background(), append(x.args, "-o", file), strings.NewReader(""), &out, &complaints), complaints.String())
		data, err := os.ReadFile(file)
		require.NoError(t, err)
		svg := html.UnescapeString(string(data))
		_, texts, _ := strings.Cut(svg, "<text ")
		about, _, _ := strings.Cut(svg, "<text ")
		for _, want := range x.says {
			require.Contains(t, texts, want)
			require.Contains(t, about, want)
		}
	}
}
