//go:build unix

package cli

import (
	"bytes"
	"io"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"choirloft/midi/corpora"

	"github.com/stretchr/testify/require"
)

func makeFIFO(t *testing.T, path string) { require.NoError(t, syscall.Mkfifo(path, 0o600)) }

// A FIFO in a folder, or a link to one, would be waited for until somebody
// writes into it.
func TestFIFOAmongSongs(t *testing.T) {
	song, err := os.ReadFile(filepath.Join(top, demoSong))
	require.NoError(t, err)
	dir := scratch(t, map[string]string{"songs/a.mid": string(song)})
	makeFIFO(t, filepath.Join(dir, "songs", "b.mid"))
	require.NoError(t, os.Symlink(filepath.Join(dir, "songs", "b.mid"), filepath.Join(dir, "songs", "c.mid")))
	ended := make(chan call, 1)
	go func() {
		var stdout, stderr bytes.Buffer
		status := Run(t.Context(), []string{"replay", demoRig, filepath.Join(dir, "songs")}, nil, &stdout, &stderr)
		ended <- call{status, stdout.String(), stderr.String()}
	}()
	select {
	case got := <-ended:
		require.Equal(t, exitUsage, got.status, "the others are played, and something is wrong")
		require.Contains(t, got.stdout, "a.mid")
		for _, name := range []string{"b.mid", "c.mid"} {
			require.Contains(t, got.stderr, "choirloft: "+filepath.Join(dir, "songs", name)+": this is not a file but a FIFO, a device or a folder by another name, so it is left out\n")
		}
	case <-time.After(10 * time.Second):
		t.Fatal("it waits")
	}
}

// TestLiveFIFO plays through FIFOs, as a keyboard's driver would.
func TestLiveFIFO(t *testing.T) {
	dir := scratch(t, map[string]string{"rig.yaml": "rig: W\ninterfaces: {main: {profile: cv8-gate8}}\nbanks: {K: {voices: 4}}\n"})
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

// TestLiveTwoIntoOneFIFO: the second says that the first is there, and plays when it
// has gone.
func TestLiveTwoIntoOneFIFO(t *testing.T) {
	corpora.Patient(t)
	dir, rig := smallRig(t)
	fifo := filepath.Join(dir, "fifo")
	makeFIFO(t, fifo)
	f, err := os.OpenFile(fifo, os.O_RDWR, 0)
	require.NoError(t, err)
	g := newGates()
	go io.Copy(g, f)
	defer f.Close()
	keys, hand := io.Pipe()
	first := startLive(t, keys, rig, "--out", fifo, "--quiet")
	hand.Write([]byte{0x90, 60, 100})
	soon(t, func() bool { return g.up() == 1 }, "the first plays")
	others, others2 := io.Pipe()
	second := startLive(t, others, rig, "--out", fifo, "--quiet")
	soon(t, func() bool {
		return strings.Contains(second.stderr.String(), "output 1 ("+fifo+"): another choirloft live writes to it")
	}, "told")
	first.end(t)
	soon(t, func() bool {
		others2.Write([]byte{0x90, 62, 100, 0x80, 62, 64})
		return g.struck() > 1
	}, "the second plays")
	second.end(t)
}

// TestLiveLogIsNoFIFO: a log is written in more than one place.
func TestLiveLogIsNoFIFO(t *testing.T) {
	dir, rig := smallRig(t)
	makeFIFO(t, filepath.Join(dir, "x.mid"))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "older"), []byte(olderOutput), 0o666))
	got := run(t, "", "live", rig, "--out", filepath.Join(dir, "older"), "--log", filepath.Join(dir, "x.mid"))
	require.Equal(t, exitUsage, got.status)
	require.Equal(t, "choirloft: "+filepath.Join(dir, "x.mid")+": this is a FIFO or a device, and a log must be a file\n    give --log another name\n", got.stderr)
	data, err := os.ReadFile(filepath.Join(dir, "older"))
	require.NoError(t, err)
	require.Equal(t, olderOutput, string(data))
}

// TestWriteFIFO writes a dealt song into a FIFO, which stays one. Where nobody reads
// for a second it says what it waits for.
func TestWriteFIFO(t *testing.T) {
	t.Parallel()
	dir := scratch(t, nil)
	fifo, file := filepath.Join(dir, "fifo.mid"), filepath.Join(dir, "file.mid")
	makeFIFO(t, fifo)
	rig, song := absolute(t, demoRig), absolute(t, demoSong)
	require.Equal(t, exitFine, run(t, "", "write", rig, song, "-o", file).status)
	ended, stderr := goes(t.Context(), []string{"write", rig, song, "-o", fifo})
	soon(t, func() bool { return strings.HasSuffix(stderr.String(), " ends the waiting\n") }, "what it waits for")
	heard, err := os.ReadFile(fifo)
	require.NoError(t, err)
	got := <-ended
	require.Equal(t, exitFine, got.status, got.stderr)
	require.Equal(t, "choirloft: waiting for a reader of "+fifo+"\n    Ctrl-C ends the waiting\n", got.stderr, "nothing was replaced")
	want, err := os.ReadFile(file)
	require.NoError(t, err)
	require.Equal(t, want, heard)
	info, err := os.Lstat(fifo)
	require.NoError(t, err)
	require.NotZero(t, info.Mode()&os.ModeNamedPipe)
}
