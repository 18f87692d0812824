package cli

import (
	"context"
	"io"
	"path/filepath"
	"strings"
	"testing"

	"choirloft/midi/corpora"

	"github.com/stretchr/testify/require"
)

// On a terminal size gives its first answer before the searches, and a line of
// progress for each of them; what is printed elsewhere has neither.
func TestSizeTellsATerminal(t *testing.T) {
	corpora.Patient(t)
	dir := scratch(t, map[string]string{"wide.yaml": wideRig, "stuck.mid": stuckNotes(1)})
	outside, inside := terminal(t)
	defer outside.Close()
	said := make(chan string)
	go func() {
		data, _ := io.ReadAll(outside) // ends with EIO when the inside is closed, pty(7)
		said <- string(data)
	}()
	var stdout strings.Builder
	status := Run(context.Background(), []string{"size", filepath.Join(dir, "wide.yaml"), filepath.Join(dir, "stuck.mid"), "--budget", "1s"},
		strings.NewReader(""), &stdout, inside)
	inside.Close()
	shown := <-said
	require.Equal(t, exitFine, status, shown)
	// 128 keys stay, and every one of them wants a voice.
	first := strings.Index(shown, "128 voices")
	voices, fixes := strings.Index(shown, "\rvoices "), strings.Index(shown, "\rfixes ")
	require.GreaterOrEqual(t, first, 0, "%q", shown)
	require.Less(t, first, voices, "%q", shown)
	require.Less(t, voices, fixes, "%q", shown)
	require.NotContains(t, stdout.String(), "\r")
	require.NotContains(t, stdout.String(), "At its peak")
}

// On a terminal listen counts the seconds of sound of both passes.
func TestListenTellsATerminal(t *testing.T) {
	t.Chdir(top)
	outside, inside := terminal(t)
	defer outside.Close()
	said := make(chan string)
	go func() {
		data, _ := io.ReadAll(outside)
		said <- string(data)
	}()
	status := Run(context.Background(), []string{"listen", demoRig, demoSong, "-o", filepath.Join(t.TempDir(), "kiln.wav"), "--from", "9", "--to", "9"},
		strings.NewReader(""), io.Discard, inside)
	inside.Close()
	shown := <-said
	require.Equal(t, exitFine, status, shown)
	require.Contains(t, shown, "\rseconds of sound ")
}
