package main

import (
	"encoding/hex"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

const committed = "../../testdata/slow-kiln.mid"

func TestCommittedFileIsTheGeneratorsOutput(t *testing.T) {
	want, err := os.ReadFile(committed)
	require.NoError(t, err)
	path := filepath.Join(t.TempDir(), "song.mid")
	var stderr strings.Builder
	require.Equal(t, 0, run([]string{"-o", path}, &stderr))
	require.Empty(t, stderr.String())
	got, err := os.ReadFile(path)
	require.NoError(t, err)
	require.True(t, string(want) == string(got), "testdata/slow-kiln.mid is out of date: run go generate in cmd/demosong")
}

// TestHeadOfTheFile spells out the bytes up to the first pad note.
func TestHeadOfTheFile(t *testing.T) {
	want := strings.Join([]string{
		"4d546864 00000006 0001 0005 01f4", // MThd: format 1, 5 tracks, 500 ticks a quarter
		"4d54726b 00000022",                // MTrk: 34 bytes
		"00 ff03 09 536c6f77204b696c6e",    // name "Slow Kiln"
		"00 ff58 04 04021808",              // 4/4
		"00 ff51 03 0cb735",                // 60 000 000/72 = 833 333 µs a quarter
		"81fa00 ff2f00",                    // end of track at tick 32 000 = 16 · 2000
		"4d54726b 00000",                   // MTrk, length below
	}, "")
	want = strings.ReplaceAll(want, " ", "")
	data, err := encode(slowKiln())
	require.NoError(t, err)
	got := hex.EncodeToString(data)
	require.Equal(t, want, got[:len(want)])
	padTrack := got[len(want)+3:]
	start := "00ff0303706164" + "00903748" // name "pad"; channel 1 on, key 55, velocity 72
	require.Equal(t, start, padTrack[:len(start)])
}

func TestStatus(t *testing.T) {
	dir := t.TempDir()
	for _, c := range []struct {
		name   string
		args   []string
		status int
		stderr string
	}{
		{"help", []string{"-h"}, 0, "write the song to this file"},
		{"unknown flag", []string{"-x"}, 2, "flag provided but not defined: -x"},
		{"argument", []string{"song.mid"}, 2, `unexpected argument "song.mid"`},
		{"no such folder", []string{"-o", filepath.Join(dir, "none", "song.mid")}, 3, "no such file or directory"},
		{"a folder in the way", []string{"-o", dir}, 3, "rename"},
	} {
		t.Run(c.name, func(t *testing.T) {
			var stderr strings.Builder
			require.Equal(t, c.status, run(c.args, &stderr))
			require.Contains(t, stderr.String(), c.stderr)
		})
	}
	for _, folder := range []string{dir, filepath.Dir(dir)} {
		left, err := filepath.Glob(filepath.Join(folder, ".demosong-*"))
		require.NoError(t, err)
		require.Empty(t, left, "a failed run leaves nothing behind")
	}
}
