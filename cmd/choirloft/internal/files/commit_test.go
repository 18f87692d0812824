package files

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// holds checks what is in a folder: these files, and no others.
func holds(t *testing.T, dir string, want map[string]string) {
	t.Helper()
	got := map[string]string{}
	all, err := os.ReadDir(dir)
	require.NoError(t, err)
	for _, entry := range all {
		data, err := os.ReadFile(filepath.Join(dir, entry.Name()))
		require.NoError(t, err)
		got[entry.Name()] = string(data)
	}
	require.Equal(t, want, got)
}

// outs are files of a folder with these texts, in the order given: name, text …
func outs(dir string, texts ...string) (list []Out) {
	for i := 0; i+1 < len(texts); i += 2 {
		list = append(list, Out{Name: filepath.Join(dir, texts[i]), Data: []byte(texts[i+1])})
	}
	return list
}

func TestCommit(t *testing.T) {
	dir := folder(t, map[string]string{"a": "old a", "b": "old b"})
	done, err := Commit(t.Context(), outs(dir, "a", "new a", "b", "new b", "c", "new c")...)
	require.NoError(t, err)
	require.Equal(t, []string{filepath.Join(dir, "a"), filepath.Join(dir, "b")}, done.Replaced)
	holds(t, dir, map[string]string{"a": "new a", "b": "new b", "c": "new c"})

	done, err = Commit(t.Context(), outs(dir, "d", "new d")...)
	require.NoError(t, err)
	require.Empty(t, done.Replaced)

	// one that cannot be written leaves all
	fill := func(w io.Writer) error { w.Write([]byte("half")); return errors.New("no more") }
	list := append(outs(dir, "a", "newer"), Out{Name: filepath.Join(dir, "b"), Fill: fill})
	_, err = Commit(t.Context(), list...)
	require.EqualError(t, err, filepath.Join(dir, "b")+": no more")
	ended, cancel := context.WithCancel(t.Context())
	cancel()
	_, err = Commit(ended, outs(dir, "a", "newer", "b", "newer")...)
	require.ErrorIs(t, err, context.Canceled)
	holds(t, dir, map[string]string{"a": "new a", "b": "new b", "c": "new c", "d": "new d"})
}

// A file is written only over what was read of it, or only where none was.
func TestCommitCompares(t *testing.T) {
	dir := folder(t, map[string]string{"rig": "theirs", "other": "old"})
	rig := filepath.Join(dir, "rig")
	for _, o := range []Out{
		{Name: rig, Was: []byte("as read"), Data: []byte("new")},
		{Name: rig, Was: []byte("their"), Data: []byte("new")},
		{Name: rig, Was: []byte("theirs and more"), Data: []byte("new")},
		{Name: filepath.Join(dir, "gone"), Was: []byte("as read"), Data: []byte("new")},
	} {
		_, err := Commit(t.Context(), append(outs(dir, "other", "new"), o)...)
		require.ErrorIs(t, err, ErrChanged)
		_, err = Commit(t.Context(), o)
		require.ErrorIs(t, err, ErrChanged)
		require.EqualError(t, err, o.Name+": the file has been changed meanwhile, so nothing was written")
	}
	fresh := Out{Name: rig, New: true, Data: []byte("new")}
	_, err := Commit(t.Context(), fresh)
	require.ErrorIs(t, err, os.ErrExist)
	require.ErrorIs(t, Check(nil, fresh), os.ErrExist)
	holds(t, dir, map[string]string{"rig": "theirs", "other": "old"})
	_, err = Commit(t.Context(), Out{Name: rig, Was: []byte("theirs"), Data: []byte("new")}, Out{Name: filepath.Join(dir, "fresh"), New: true})
	require.NoError(t, err)
	holds(t, dir, map[string]string{"rig": "new", "other": "old", "fresh": ""})
}

// A new file never replaces one that came while it was written.
func TestCommitNewRace(t *testing.T) {
	dir := folder(t, nil)
	path := filepath.Join(dir, "rig")
	came := disk{before: func(call, at string) error {
		if call == "link" {
			require.NoError(t, os.WriteFile(path, []byte("theirs"), 0o666))
		}
		return nil
	}}
	_, err := came.commit(t.Context(), []Out{{Name: path, New: true, Data: []byte("new")}})
	require.ErrorIs(t, err, os.ErrExist)
	holds(t, dir, map[string]string{"rig": "theirs"})
}

// What cannot be written is refused before the work, by name.
func TestCheck(t *testing.T) {
	dir := folder(t, map[string]string{"rig": "rig", "plain": ""})
	at := func(name string) string { return filepath.Join(dir, name) }
	require.NoError(t, os.Mkdir(at("folder"), 0o777))
	require.NoError(t, os.Symlink("rig", at("link")))
	require.NoError(t, os.Symlink("round", at("round")))
	for _, c := range []struct {
		name string
		outs []Out
		want string // DIR stands for the folder
		call bool
	}{
		{"an input", []Out{{Flag: "-o", Name: at("link")}}, "-o DIR/link: this is also read, it would be lost", true},
		{"a folder", []Out{{Flag: "-o", Name: at("folder")}}, "-o DIR/folder: this is a folder, want a file", true},
		{"twice the same", []Out{{Name: at("a")}, {Name: dir + "/folder/../a"}}, "DIR/folder/../a: this and DIR/a would be one file", true},
		{"no such folder", []Out{{Flag: "-o", Name: at("no/x")}}, "DIR/no/x: the folder that it would lie in is not there", false},
		{"a file as a folder", []Out{{Flag: "-o", Name: at("plain/x")}}, "DIR/plain/x: not a directory", false},
		{"links without end", []Out{{Name: at("round")}}, "DIR/round: too many levels of symbolic links", false},
		{"more than any disk has", []Out{{Name: at("x"), Fill: func(io.Writer) error { return nil }, Size: 1 << 60}}, "DIR/x: no room: 1152921504606 MB to be written, and the disk has", false},
	} {
		t.Run(c.name, func(t *testing.T) {
			err := Check([]string{at("rig"), "-"}, c.outs...)
			require.Error(t, err)
			require.True(t, strings.HasPrefix(strings.ReplaceAll(err.Error(), c.outs[0].Name[:len(dir)], "DIR"), c.want), err.Error())
			var known *Error
			require.True(t, errors.As(err, &known))
			require.Equal(t, c.call, known.Call)
		})
	}
	require.NoError(t, Check([]string{at("rig")}, append(outs(dir, "new", "", "plain", ""), Out{Name: os.DevNull}, Out{Name: os.DevNull})...))
}

// Two writers of one file, each of which adds a line to what it has read: no
// line is lost without a word.
func TestTwoWriters(t *testing.T) {
	dir := folder(t, map[string]string{"rig": ""})
	path := filepath.Join(dir, "rig")
	said, told := 0, 0
	for round := range rounds(t, 10, 200) {
		results := make(chan error, 2)
		var lines [2]string
		start := make(chan struct{})
		for i := range lines {
			lines[i] = fmt.Sprintf("round %d writer %d\n", round, i)
			go func() {
				<-start
				was, err := os.ReadFile(path)
				if err == nil {
					_, err = Commit(t.Context(), Out{Name: path, Was: was, Data: append(bytes.Clone(was), lines[i]...)})
				}
				if err == nil {
					lines[i] += "kept"
				}
				results <- err
			}()
		}
		close(start)
		for range lines {
			if err := <-results; err != nil {
				require.ErrorIs(t, err, ErrChanged)
				told++
			}
		}
		data, err := os.ReadFile(path)
		require.NoError(t, err)
		for _, line := range lines {
			line, kept := strings.CutSuffix(line, "kept")
			require.Equal(t, kept, strings.Contains(string(data), line), "%s", line)
			if kept {
				said++
			}
		}
	}
	t.Logf("%d wrote, %d were told that they did not", said, told)
	holds(t, dir, map[string]string{"rig": string(must(os.ReadFile(path)))})
}

func must(data []byte, err error) []byte {
	if err != nil {
		panic(err)
	}
	return data
}

// rounds is how often something random is tried: many where CHOIRLOFT_ROUNDS is set.
func rounds(t *testing.T, few, many int) int {
	if os.Getenv("CHOIRLOFT_ROUNDS") != "" {
		return many
	}
	t.Logf("%d rounds; %d with CHOIRLOFT_ROUNDS=1", few, many)
	return few
}

// A run that goes on keeps its temporary file when another sweeps.
func TestSweep(t *testing.T) {
	dir := folder(t, map[string]string{".choirloft-1.tmp": "left", ".choirloft-2.old": "left", ".other.tmp": "theirs"})
	began, goOn := make(chan struct{}), make(chan struct{})
	finished := make(chan error)
	go func() {
		_, err := Commit(context.Background(), Out{Name: filepath.Join(dir, "slow"), Fill: func(w io.Writer) error {
			close(began)
			<-goOn
			_, err := w.Write([]byte("slow"))
			return err
		}})
		finished <- err
	}()
	<-began
	_, err := Commit(t.Context(), outs(dir, "quick", "quick")...)
	require.NoError(t, err)
	close(goOn)
	require.NoError(t, <-finished)
	holds(t, dir, map[string]string{"slow": "slow", "quick": "quick", ".other.tmp": "theirs"})
}

// A folder that another run has locked for too long is an error, and an
// interrupt ends the wait.
func TestLockIsWaitedFor(t *testing.T) {
	dir := folder(t, nil)
	letGo, err := holdFolder(dir)
	require.NoError(t, err)
	ctx, cancel := context.WithTimeout(t.Context(), 50*time.Millisecond)
	defer cancel()
	_, err = Commit(ctx, outs(dir, "a", "new")...)
	require.ErrorIs(t, err, context.DeadlineExceeded)
	time.AfterFunc(50*time.Millisecond, letGo)
	_, err = Commit(t.Context(), outs(dir, "a", "new")...)
	require.NoError(t, err)
	holds(t, dir, map[string]string{"a": "new"})
}
