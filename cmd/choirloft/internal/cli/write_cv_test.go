package cli

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/routing/deal"
)

// TestWriteCV: the file, the names of its channels beside it, and the caution in
// both and in the result.
// Of several flags that are for MIDI files the first is named, every time.
func TestOneMessageForSeveralFlags(t *testing.T) {
	for range 20 {
		got := run(t, "", "write", demoRig, demoSong, "-o", "x.wav", "--bend-range", "2", "--passes", "2", "--by-port")
		require.Equal(t, exitUsage, got.status)
		require.True(t, strings.HasPrefix(got.stderr, "choirloft: --by-port is for MIDI files: x.wav holds control voltages"), got.stderr)
	}
}

func TestWriteCV(t *testing.T) {
	file := filepath.Join(t.TempDir(), "cv.wav")
	got := run(t, "", "write", demoRig, demoSong, "-o", file, "--rate", "1000", "--samples", "float", "--json")
	require.Equal(t, exitFine, got.status, got.stderr)
	var r contract.CV
	require.NoError(t, json.Unmarshal([]byte(strings.Replace(got.stdout, `"result":`, `"_":`, 1)), &r))
	require.Equal(t, deal.Caution, r.Caution)
	data, err := os.ReadFile(file)
	require.NoError(t, err)
	require.Equal(t, r.Bytes, int64(len(data)))
	sheet, err := os.ReadFile(file + ".txt")
	require.NoError(t, err)
	require.Contains(t, string(sheet), "must never reach monitors")
	require.Len(t, r.Channels, 38) // 19 voices, pitch and gate; the song moves no macro
	for _, c := range r.Channels {
		require.Contains(t, string(sheet), c.Name)
		require.True(t, bytes.Contains(data, []byte("<NAME>"+c.Name+"</NAME>")), c.Name)
	}
	require.Contains(t, run(t, "", "write", demoRig, demoSong, "-o", file, "--rate", "1000").stdout, "must never reach monitors")
}

func TestWriteCVRefuses(t *testing.T) {
	dir := t.TempDir()
	for _, c := range []struct {
		args   []string
		stderr string
	}{
		{[]string{"-o", "cv.wav", "--stems"}, "choirloft: --stems is for MIDI files: cv.wav holds control voltages and nothing else\n    leave it out, or name the file .mid\n"},
		{[]string{"-o", "cv.wav", "--samples", "16"}, "choirloft: --samples 16: want 24 or float\n"},
		{[]string{"-o", "a.mid", "--rate", "48000"}, "choirloft: --rate and --samples are for control voltages, and -o a.mid is none\n    name the file .wav\n"},
		{[]string{"-o", filepath.Join(dir, "cv.wav"), "--rate", "999"}, "choirloft: found a rate of 999 frames a second, want 1000 to 768000\n"},
	} {
		got := run(t, "", append([]string{"write", demoRig, demoSong}, c.args...)...)
		require.Equal(t, c.stderr, got.stderr)
		require.Equal(t, exitUsage, got.status)
	}
	left, err := os.ReadDir(dir)
	require.NoError(t, err)
	require.Empty(t, left)
}

// An interrupt while the samples are written leaves no file, and the one that
// was there as it was.
func TestWriteCVInterrupted(t *testing.T) {
	dir := scratch(t, map[string]string{"cv.wav": "old"})
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err := (while{ctx, &bytes.Buffer{}}).Write([]byte{1})
	require.ErrorIs(t, err, context.Canceled)
	var out bytes.Buffer
	require.Equal(t, exitFailed, Run(ctx, []string{"write", demoRig, demoSong, "-o", filepath.Join(dir, "cv.wav")}, nil, &out, &out))
	left, err := os.ReadDir(dir)
	require.NoError(t, err)
	require.Len(t, left, 1)
	data, err := os.ReadFile(filepath.Join(dir, "cv.wav"))
	require.NoError(t, err)
	require.Equal(t, "old", string(data))
}
