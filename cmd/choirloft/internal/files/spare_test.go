package files

import (
	"errors"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// folder is a new one with these files.
func folder(t *testing.T, data map[string]string) string {
	t.Helper()
	dir := t.TempDir()
	for name, text := range data {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte(text), 0o666))
	}
	return dir
}

// An output is none of the inputs, whatever it is called.
func TestSpare(t *testing.T) {
	dir := folder(t, map[string]string{"rig": "rig", "song": "song"})
	at := func(name string) string { return filepath.Join(dir, name) }
	require.NoError(t, os.Symlink("rig", at("link")))
	require.NoError(t, os.Symlink(dir, at("here")))
	require.NoError(t, os.Symlink("later", at("dangling")))
	require.NoError(t, os.Symlink("round", at("round")))
	require.NoError(t, os.Link(at("rig"), at("hard")))
	for _, c := range []struct {
		name, output string
		inputs       []string
		refused      bool
	}{
		{"the same name", at("rig"), []string{at("song"), at("rig")}, true},
		{"by another path", dir + "/./here/rig", []string{at("rig")}, true},
		{"a link to it", at("link"), []string{at("rig")}, true},
		{"what a link to it leads to", at("rig"), []string{at("link")}, true},
		{"a hard link", at("hard"), []string{at("rig")}, true},
		{"not there yet", at("new"), []string{at("here/new")}, true},
		{"where a link will lead", at("dangling"), []string{at("later")}, true},
		{"another file", at("song"), []string{at("rig"), at("later"), "-", ""}, false},
		{"a new file", at("new"), []string{at("rig"), at("later"), "-", ""}, false},
		{"links without end", at("round"), []string{at("rig"), at("round")}, false}, // which cannot be read either
		{"a device", os.DevNull, []string{os.DevNull}, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			err := Spare("--log", c.output, c.inputs...)
			if !c.refused {
				require.NoError(t, err)
				return
			}
			var refused *Error
			require.True(t, errors.As(err, &refused), "%v", err)
			require.True(t, refused.Call)
			require.EqualError(t, err, "--log "+c.output+": this is also read, it would be lost")
		})
	}
}
