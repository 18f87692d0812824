//go:build unix

package cli

import (
	"io"
	"os"
	"path/filepath"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"
)

func makeFIFO(t *testing.T, path string) { require.NoError(t, syscall.Mkfifo(path, 0o600)) }

// TestLiveFIFO plays through FIFOs, as a keyboard's driver would.
func TestLiveFIFO(t *testing.T) {
	dir := scratch(t, map[string]string{"rig.yaml": "rig: W\ninterfaces: {main: {profile: cv8-gate8}}\nbanks: {A: {voices: 4}}\n"})
	in, out := filepath.Join(dir, "in"), filepath.Join(dir, "out")
	makeFIFO(t, in)
	makeFIFO(t, out)
	g := newGates()
	go func() {
		f, err := os.Open(out)
		if err == nil {
			io.Copy(g, f)
		}
	}()
	l := startLive(t, nil, filepath.Join(dir, "rig.yaml"), "--in", in, "--out", out, "--quiet")
	f, err := os.OpenFile(in, os.O_WRONLY, 0)
	require.NoError(t, err)
	_, err = f.Write([]byte{0x90, 60, 100, 64, 100})
	require.NoError(t, err)
	soon(t, func() bool { return g.up() == 2 }, "two notes")
	f.Close()
	soon(t, func() bool { return g.up() == 0 }, "let go when the writer is gone")
	l.end(t)
}

// TestWriteFIFO writes a dealt song into a FIFO, which stays one.
func TestWriteFIFO(t *testing.T) {
	dir := scratch(t, nil)
	fifo, file := filepath.Join(dir, "fifo.mid"), filepath.Join(dir, "file.mid")
	makeFIFO(t, fifo)
	rig, song := absolute(t, demoRig), absolute(t, demoSong)
	require.Equal(t, exitFine, run(t, "", "write", rig, song, "-o", file).status)
	heard := make(chan []byte)
	go func() {
		data, _ := os.ReadFile(fifo)
		heard <- data
	}()
	got := run(t, "", "write", rig, song, "-o", fifo)
	require.Equal(t, exitFine, got.status, got.stderr)
	require.Empty(t, got.stderr, "nothing was replaced")
	want, err := os.ReadFile(file)
	require.NoError(t, err)
	require.Equal(t, want, <-heard)
	info, err := os.Lstat(fifo)
	require.NoError(t, err)
	require.NotZero(t, info.Mode()&os.ModeNamedPipe)
}
