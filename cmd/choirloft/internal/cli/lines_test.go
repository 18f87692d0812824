package cli

import (
	"bufio"
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"

	"choirloft/midi/corpora"

	"github.com/stretchr/testify/require"
)

// folderOf writes so many short songs into a folder: chords of one to five notes,
// a few of them over one another, so that the songs differ.
func folderOf(t *testing.T, dir string, songs int) string {
	t.Helper()
	require.NoError(t, os.MkdirAll(dir, 0o777))
	for i := range songs {
		require.NoError(t, os.WriteFile(filepath.Join(dir, fmt.Sprintf("%04d.mid", i)), shortSong(i), 0o666))
	}
	return dir
}

// shortSong is a song of some chords, 100 ticks a quarter note.
func shortSong(n int) []byte {
	var track bytes.Buffer
	for chord := range 3 {
		keys := 1 + (n+chord)%5
		for k := range keys {
			track.Write([]byte{0, 0x90, byte(48 + (n*7+chord*5+k*4)%24), byte(40 + n%80)})
		}
		for k := range keys {
			track.Write([]byte{byte(20 + n%60), 0x80, byte(48 + (n*7+chord*5+k*4)%24), 64})
		}
	}
	track.WriteString("\x00\xff\x2f\x00")
	head := []byte("MThd\x00\x00\x00\x06\x00\x00\x00\x01\x00\x64MTrk\x00\x00")
	return append(append(head, byte(track.Len()>>8), byte(track.Len())), track.Bytes()...)
}

// TestLinesInAnySplit: the table of a folder is the same in one run and out of
// lines, however the songs were shared out, and whatever came first. So are its
// other formats, the song that cannot be read and the status.
func TestLinesInAnySplit(t *testing.T) {
	corpora.Patient(t)
	dir := t.TempDir()
	rig, err := os.ReadFile(filepath.Join(top, "testdata/rigs/small-wall.yaml"))
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "rig.yaml"), rig, 0o666))
	folderOf(t, filepath.Join(dir, "songs"), 14)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "songs", "0005x.mid"), []byte("no song"), 0o666))
	entries, err := os.ReadDir(filepath.Join(dir, "songs"))
	require.NoError(t, err)
	views := [][]string{{}, {"--json"}, {"-o", "set.csv"}, {"-o", "set.html"}, {"-o", "set.md"}}[:corpora.Some(3, 5)]
	told := func(args []string) (all []string) {
		for _, view := range views {
			got := runIn(t, dir, "", slices.Concat([]string{"size"}, args, view)...)
			require.Equal(t, exitUsage, got.status, got.stderr)
			require.Contains(t, got.stderr, filepath.Join("songs", "0005x.mid")+": ")
			if len(view) == 2 {
				data, err := os.ReadFile(filepath.Join(dir, view[1]))
				require.NoError(t, err)
				got.stdout = string(data)
				require.NoError(t, os.Remove(filepath.Join(dir, view[1])))
			}
			all = append(all, got.stdout)
		}
		return all
	}
	want := told([]string{"rig.yaml", "songs", "--voices", "3"})
	require.Contains(t, want[0], "14 songs: ")
	for _, machines := range []int{2, 7, 1}[:corpora.Some(1, 3)] {
		var files []string
		for m := range machines {
			args := []string{"size", "rig.yaml", "--voices", "3", "--lines"}
			for i := len(entries) - 1; i >= 0; i-- { // in no order
				if i%machines == m {
					args = append(args, filepath.Join("songs", entries[i].Name()))
				}
			}
			got := runIn(t, dir, "", args...)
			name := fmt.Sprintf("lines-%d-of-%d", m, machines)
			require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte(got.stdout), 0o666))
			files = append([]string{name}, files...)
		}
		require.Equal(t, want, told(append([]string{"--from"}, files...)), "%d machines", machines)
	}
}

// TestLinesAreTheSameAlone: a line is what --json says of the song alone, and the
// number of processors changes no byte.
func TestLinesAreTheSameAlone(t *testing.T) {
	dir := folderOf(t, t.TempDir(), 12)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "0003.mid"), []byte("no song"), 0o666))
	args := []string{"replay", demoRig, dir, "--voices", "2", "--lines", "--all"}
	got := run(t, "", args...)
	require.Equal(t, exitUsage, got.status)
	for _, processors := range []int{1, 7} {
		was := runtime.GOMAXPROCS(processors)
		require.Equal(t, got, run(t, "", args...))
		runtime.GOMAXPROCS(was)
	}
	lines := strings.Split(strings.TrimSpace(got.stdout), "\n")
	require.Len(t, lines, 12)
	require.Equal(t, strings.Join(lines[4:6], "\n")+"\n", run(t, "", "replay", demoRig, filepath.Join(dir, "0005.mid"), filepath.Join(dir, "0004.mid"), "--voices", "2", "--lines", "--all").stdout)
	for i, line := range lines {
		song := filepath.Join(dir, fmt.Sprintf("%04d.mid", i))
		if i == 3 {
			require.Contains(t, line, `"failed":{"file":"`+song+`"`)
			continue
		}
		require.JSONEq(t, run(t, "", "replay", demoRig, song, "--voices", "2", "--json", "--all").stdout, line)
	}
	require.Equal(t, exitFound, run(t, "", "replay", demoRig, filepath.Join(dir, "0004.mid"), "--voices", "1", "--lines", "--fail-on-loss").status)
}

// TestLinesRefuse: what cannot be meant is refused with its place.
func TestLinesRefuse(t *testing.T) {
	dir := folderOf(t, t.TempDir(), 2)
	lines := run(t, "", "size", demoRig, dir, "--lines").stdout
	other := run(t, "", "size", demoRig, dir, "--lines", "--voices", "5").stdout
	for _, c := range []struct {
		stdin string
		args  []string
		want  string
	}{
		{"", []string{"replay", demoRig, dir, "--lines", "--json"}, "--lines and --json cannot go together"},
		{"", []string{"size", demoRig, dir, "--lines", "-o", "x.txt"}, "--lines and -o x.txt cannot go together"},
		{"", []string{"size", "--from", "-"}, "standard input: no line in it"},
		{"{}\n", []string{"size", "--from", "-"}, "standard input:1: version 0, this program reads version 1"},
		{lines + "{\n", []string{"size", "--from", "-"}, "standard input:3: unexpected EOF"},
		{lines + lines[:len(lines)-1] + " 1\n", []string{"size", "--from", "-"}, "standard input:4: more than one value on the line"},
		{run(t, "", "replay", demoRig, dir, "--lines").stdout, []string{"size", "--from", "-"}, "standard input:1: unknown field "},
		{lines + other, []string{"size", "--from", "-"}, "standard input:3: the plan is "},
		{lines, []string{"size", "--from", "-", "--voices", "4"}, "--voices goes with songs"},
		{lines, []string{"size", "--from", "-", "-o", "x.png"}, "-o x.png: pictures are of one song"},
		{"", []string{"size", "--from", "nowhere"}, "nowhere: there is no such file"},
	} {
		got := run(t, c.stdin, c.args...)
		require.Equal(t, exitUsage, got.status, "%v", c.args)
		require.Empty(t, got.stdout)
		require.Contains(t, got.stderr, "choirloft: "+c.want)
	}
}

// livingAfter samples what is alive on the heap while lines pass: after so many,
// and at the last of them.
type livingAfter struct {
	lines, early, last int
	first, then        uint64
}

func (l *livingAfter) pass(n int) {
	for range n {
		switch l.lines++; l.lines {
		case l.early:
			l.first = alive()
		case l.last:
			l.then = alive()
		}
	}
}

func alive() uint64 {
	var m runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&m)
	return m.HeapAlloc
}

func (l *livingAfter) Write(data []byte) (int, error) {
	l.pass(bytes.Count(data, []byte{'\n'}))
	return len(data), nil
}

// lineReader hands lines over one at a time, as they are counted.
type lineReader struct {
	from *bufio.Reader
	rest []byte
	*livingAfter
}

func (r *lineReader) Read(to []byte) (int, error) {
	if len(r.rest) == 0 {
		line, err := r.from.ReadBytes('\n')
		if err != nil {
			return 0, err
		}
		r.rest = line
		r.pass(1)
	}
	n := copy(to, r.rest)
	r.rest = r.rest[n:]
	return n, nil
}

// alone runs a test in a process of its own, where what other tests left is not counted;
// false in that process.
func alone(t *testing.T) bool {
	t.Helper()
	const inside = "CHOIRLOFT_ALONE"
	if os.Getenv(inside) != "" {
		return false
	}
	cmd := exec.Command(os.Args[0], "-test.v", "-test.run=^"+t.Name()+"$")
	cmd.Dir, cmd.Env = filepath.Join(top, "cmd/choirloft/internal/cli"), append(os.Environ(), inside+"=1")
	out, err := cmd.CombinedOutput()
	require.NoError(t, err, "%s", out)
	require.Contains(t, string(out), "--- PASS: "+t.Name())
	t.Logf("%s", out)
	return true
}

// TestLinesKeepNothing: 2000 songs, and without CHOIRLOFT_CORPORA 60, take the
// memory of few. What is alive after the 30th line is about what is alive at the
// last; the table out of lines keeps a row a song.
func TestLinesKeepNothing(t *testing.T) {
	if alone(t) {
		return
	}
	songs := corpora.Some(40, 2000)
	t.Chdir(top)
	dir := folderOf(t, t.TempDir(), songs)
	const early = 30
	printed := filepath.Join(t.TempDir(), "lines")
	for _, command := range []string{"replay", "size"} {
		file, err := os.Create(printed)
		require.NoError(t, err)
		living := &livingAfter{early: early, last: songs}
		var stderr bytes.Buffer
		args := []string{command, "testdata/rigs/small-wall.yaml", dir, "--lines", "--voices", "3"}
		require.Equal(t, exitFine, Run(context.Background(), args, strings.NewReader(""), io.MultiWriter(file, living), &stderr), stderr.String())
		require.NoError(t, file.Close())
		info, err := os.Stat(printed)
		require.NoError(t, err)
		t.Logf("%s: %d kB after %d songs, %d kB after %d; %d kB of lines", command, living.first>>10, early, living.then>>10, songs, info.Size()>>10)
		require.NotZero(t, living.then)
		require.Less(t, living.then, living.first+8<<20, "what two songs hold while they are worked on")
	}
	file, err := os.Open(printed)
	require.NoError(t, err)
	defer file.Close()
	living := &livingAfter{early: early, last: songs}
	var stdout, stderr bytes.Buffer
	require.Equal(t, exitFine, Run(context.Background(), []string{"size", "--from", "-"}, &lineReader{from: bufio.NewReader(file), livingAfter: living}, &stdout, &stderr), stderr.String())
	t.Logf("size --from: %d kB after %d songs, %d kB after %d", living.first>>10, early, living.then>>10, songs)
	require.Less(t, living.then, living.first+uint64(songs)*8<<10, "8 kB a song")
	require.Contains(t, stdout.String(), fmt.Sprint(songs, " songs: "))
}

// TestNotesAsTables: the tables are written by their names and say what the JSON
// says; no other name is a table.
func TestNotesAsTables(t *testing.T) {
	corpora.Patient(t)
	dir := t.TempDir()
	var all struct {
		Fingerprint   string
		Notes, Losses []map[string]any
	}
	got := run(t, "", "replay", demoRig, demoSong, "--voices", "8", "--json", "--all")
	require.NoError(t, json.Unmarshal([]byte(got.stdout), &all))
	for name, list := range map[string][]map[string]any{"notes.csv": all.Notes, "Kiln-NOTES.csv": all.Notes, "losses.csv": all.Losses, "kiln losses.csv": all.Losses} {
		for _, songs := range [][]string{{demoSong}, {demoSong, demoSong}} {
			file := filepath.Join(dir, name)
			got := run(t, "", slices.Concat([]string{"replay", demoRig}, songs, []string{"--voices", "8", "-o", file})...)
			require.Equal(t, exitFine, got.status, got.stderr)
			f, err := os.Open(file)
			require.NoError(t, err)
			rows, err := csv.NewReader(f).ReadAll()
			require.NoError(t, err)
			require.NoError(t, f.Close())
			require.Len(t, rows, 1+len(songs)*len(list))
			require.Equal(t, demoSong, rows[1][0])
			require.Equal(t, all.Fingerprint, rows[1][len(rows[1])-1])
			ending := slices.Index(rows[0], "ending")
			for i, row := range rows[1:] {
				require.Equal(t, list[i%len(list)]["ending"], row[ending])
			}
		}
	}
	require.NotContains(t, run(t, "", "replay", demoRig, demoSong, "--json").stdout, `"notes": [`)
	got = run(t, "", "replay", demoRig, demoSong, "-o", "map.csv")
	require.Equal(t, call{exitUsage, "", "choirloft: -o map.csv: want a name that ends in notes.csv for every note, or in losses.csv for every loss\n"}, got)
}
