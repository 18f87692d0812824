package cli

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"choirloft/alloc/crew"
	"choirloft/midi"
)

// bugSentence is all that a user sees of a bug.
const bugSentence = "choirloft: this is a bug in choirloft; your files are fine\n" +
	"    set CHOIRLOFT_TRACE=1 and do the same again: it then prints what a report of the bug needs\n"

// broken is a stream whose every use is a bug, as an index that is out of range
// is one.
type broken struct{ table []int }

func (b broken) Write(data []byte) (int, error) { return b.table[len(data)], nil }
func (b broken) Read(data []byte) (int, error)  { return b.table[len(data)], nil }

// A bug is met where a command runs, and on a goroutine that plays songs.
func TestBug(t *testing.T) {
	for _, args := range [][]string{{"check", demoRig}, {"replay", demoRig, "-"}, {"write", demoRig, "-", "-o", filepath.Join(t.TempDir(), "x.mid")},
		{"write", demoRig, "-", "-o", filepath.Join(t.TempDir(), "x.wav")}, {"size", demoRig, "-", demoSong}, {"map", demoRig, "--without", "M1", "--song", "-"}} {
		var stderr bytes.Buffer
		require.Equal(t, exitFailed, Run(t.Context(), args, broken{}, broken{}, &stderr), args)
		require.Equal(t, bugSentence, stderr.String(), args)
	}
	t.Setenv(traceVariable, "1")
	var stderr bytes.Buffer
	require.Equal(t, exitFailed, Run(t.Context(), []string{"check", demoRig}, broken{}, broken{}, &stderr))
	require.Regexp(t, `^choirloft: this is a bug in choirloft; your files are fine: .*index out of range`, stderr.String())
	require.Contains(t, stderr.String(), "broken.Write", "where it was")
}

// struck is an input that strikes a key, and at the next read meets a bug once
// the gates are high.
type struck struct {
	begun bool
	high  func() bool
}

func (s *struck) Read(data []byte) (int, error) {
	if !s.begun {
		s.begun = true
		return copy(data, "\x90\x3c\x40"), nil
	}
	for until := time.Now().Add(10 * time.Second); !s.high() && time.Now().Before(until); time.Sleep(time.Millisecond) {
	}
	return broken{}.Read(data)
}

func TestBugWhileLive(t *testing.T) {
	dir := scratch(t, map[string]string{"wall.yaml": livedWall})
	log := filepath.Join(dir, "log.mid")
	one, first, _ := collectFrom(t)
	two, second, _ := collectFrom(t)
	in := &struck{high: func() bool { return first.up()+second.up() == 1 }}
	l := startLive(t, in, filepath.Join(dir, "wall.yaml"), "--in", "-", "--out", one, "--out", two, "--log", log, "--quiet")
	require.Equal(t, exitFailed, <-l.status)
	require.Equal(t, bugSentence, l.stderr.String())
	require.Empty(t, l.stdout.String())
	soon(t, func() bool { return first.up()+second.up() == 0 }, "a gate stays high")
	require.Equal(t, 1, first.struck()+second.struck())
	data, err := os.ReadFile(log)
	require.NoError(t, err)
	song, err := midi.Read(data, midi.Options{})
	require.NoError(t, err)
	require.Equal(t, 1, song.NoteOns, "the log has what came in")
}

// The page goes on after a bug, says so once, and ends with the status of one.
func TestBugWhileServing(t *testing.T) {
	var stdout, stderr bytes.Buffer
	s := &serve{app: &app{stdout: &stdout, stderr: &stderr}, host: "127.0.0.1"}
	ended, end := context.WithCancel(t.Context())
	end()
	require.NoError(t, s.run(ended, []string{demoRig}))
	stderr.Reset()
	bug := &crew.Panic{Value: "index out of range"}
	s.met(bug)
	s.met(bug)
	require.Equal(t, bugSentence, stderr.String())
	require.Equal(t, exitFailed, s.report(s.run(ended, []string{demoRig})))
}
