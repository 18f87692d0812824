//go:build unix

package cli

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// goes runs a command that may have to wait, in the folder it is in.
func goes(ctx context.Context, args []string) (ended chan call, stderr *lines) {
	ended, stderr = make(chan call, 1), new(lines)
	go func() {
		var stdout bytes.Buffer
		status := Run(ctx, args, nil, &stdout, stderr)
		ended <- call{status, stdout.String(), stderr.String()}
	}()
	return ended, stderr
}

// waitingCalls are calls that read a FIFO, and the file that it stands for.
func waitingCalls(dir string) map[string][2][]string {
	at := func(name string) string { return filepath.Join(dir, name) }
	return map[string][2][]string{
		"rig":      {{"check", at("rig")}, {"check", at("rig.yaml")}},
		"readings": {{"tune", at("rig.yaml"), at("readings.fifo.csv")}, {"tune", at("rig.yaml"), at("readings.csv")}},
		"song":     {{"new", "--name", "X", "--song", at("song")}, {"new", "--name", "X", "--song", at("song.mid")}},
	}
}

func waitingFolder(t *testing.T) string {
	song, err := os.ReadFile(filepath.Join(top, demoSong))
	require.NoError(t, err)
	dir := scratch(t, map[string]string{"rig.yaml": tunedWall, "readings.csv": "voice,key,hertz\nK1,36,65.5\nK1,60,262\nK1,84,1047\n", "song.mid": string(song)})
	for _, name := range []string{"rig", "readings.fifo.csv", "song"} {
		makeFIFO(t, filepath.Join(dir, name))
	}
	return dir
}

// TestReadsFIFO: a rig, readings and a song are what somebody writes into a FIFO,
// however late, and after a second it is said what is waited for.
func TestReadsFIFO(t *testing.T) {
	dir := waitingFolder(t)
	for name, calls := range waitingCalls(dir) {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			want := run(t, "", calls[1]...)
			require.Equal(t, exitFine, want.status, want.stderr)
			fifo := calls[0][len(calls[0])-1]
			ended, stderr := goes(t.Context(), calls[0])
			soon(t, func() bool {
				return stderr.String() == "choirloft: waiting for "+fifo+", which is read to its end\n    Ctrl-C ends the waiting\n"
			}, "what it waits for")
			data, err := os.ReadFile(calls[1][len(calls[1])-1])
			require.NoError(t, err)
			require.NoError(t, os.WriteFile(fifo, data, 0))
			got := <-ended
			require.Equal(t, exitFine, got.status, got.stderr)
			require.Equal(t, want.stdout, strings.ReplaceAll(got.stdout, fifo, calls[1][len(calls[1])-1]))
		})
	}
}

// TestReadingHearsTheEnd: where nobody writes the first signal ends the waiting.
func TestReadingHearsTheEnd(t *testing.T) {
	for name, calls := range waitingCalls(waitingFolder(t)) {
		t.Run(name, func(t *testing.T) {
			ctx, cancel := context.WithCancel(t.Context())
			ended, _ := goes(ctx, calls[0])
			time.Sleep(20 * time.Millisecond) // it may wait by now, or not yet
			cancel()
			select {
			case got := <-ended:
				require.Equal(t, call{exitFailed, "", "choirloft: interrupted, nothing was written\n"}, got)
			case <-time.After(10 * time.Second):
				t.Fatal("it waits on")
			}
		})
	}
}

// TestNothingThroughFIFO: whoever opens a FIFO and writes nothing is to blame, not
// the bytes of a song.
func TestNothingThroughFIFO(t *testing.T) {
	for name, calls := range waitingCalls(waitingFolder(t)) {
		t.Run(name, func(t *testing.T) {
			fifo := calls[0][len(calls[0])-1]
			ended, _ := goes(t.Context(), calls[0])
			require.NoError(t, os.WriteFile(fifo, nil, 0))
			require.Equal(t, call{exitUsage, "", "choirloft: " + fifo + ": nothing came through it, want what a file holds\n    whoever writes there may have failed\n"}, <-ended)
		})
	}
}

// TestServeRefusesFIFO: what the page changes must be kept somewhere.
func TestServeRefusesFIFO(t *testing.T) {
	fifo := filepath.Join(waitingFolder(t), "rig")
	got := run(t, "", "serve", fifo, "--port", "0")
	require.Equal(t, call{exitUsage, "", "choirloft: " + fifo + ": this is no file on a disk, so no change could be saved in it\n    name a rig file\n"}, got)
}
