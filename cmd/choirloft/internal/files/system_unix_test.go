//go:build unix

package files

import (
	"context"
	"fmt"
	"io"
	"io/fs"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// A FIFO is written into, all of it, when somebody reads; a link to it too.
func TestFIFO(t *testing.T) {
	dir := folder(t, map[string]string{"a": "old"})
	path := filepath.Join(dir, "fifo")
	require.NoError(t, syscall.Mkfifo(path, 0o600))
	require.NoError(t, os.Symlink("fifo", filepath.Join(dir, "link")))
	long := strings.Repeat("x", 1<<20)
	list := append(outs(dir, "a", "new"), Out{Name: filepath.Join(dir, "link"), Data: []byte(long)})
	require.NoError(t, Check(nil, list...))
	heard := make(chan string)
	time.AfterFunc(50*time.Millisecond, func() {
		f, err := os.Open(path)
		if err != nil {
			heard <- err.Error()
			return
		}
		defer f.Close()
		data, _ := io.ReadAll(f)
		heard <- string(data)
	})
	done, err := Commit(t.Context(), list...)
	require.NoError(t, err)
	require.Equal(t, long, <-heard)
	require.Equal(t, []string{list[0].Name}, done.Replaced)
	info, err := os.Lstat(path)
	require.NoError(t, err)
	require.NotZero(t, info.Mode()&fs.ModeNamedPipe, "it is still a FIFO")

	// nobody reads: an interrupt ends the wait, and the other files stay
	ctx, cancel := context.WithTimeout(t.Context(), 50*time.Millisecond)
	defer cancel()
	_, err = Commit(ctx, append(outs(dir, "a", "newer"), Out{Name: path, Data: []byte(long)})...)
	require.ErrorIs(t, err, context.DeadlineExceeded)

	// somebody reads a little, then nothing: an interrupt ends that too
	f, err := os.OpenFile(path, os.O_RDWR, 0)
	require.NoError(t, err)
	ctx, cancel = context.WithTimeout(t.Context(), 50*time.Millisecond)
	defer cancel()
	_, err = Commit(ctx, Out{Name: path, Data: []byte(long)})
	require.ErrorIs(t, err, context.DeadlineExceeded)
	require.NoError(t, f.Close())
	require.Equal(t, "new", string(must(os.ReadFile(list[0].Name))))
	require.NoError(t, os.Remove(path))
	require.NoError(t, os.Remove(filepath.Join(dir, "link")))
	holds(t, dir, map[string]string{"a": "new"})
}

// Devices are written into; a socket is not, and nothing is kept in a stream.
func TestDevices(t *testing.T) {
	dir := folder(t, nil)
	link := filepath.Join(dir, "null")
	require.NoError(t, os.Symlink(os.DevNull, link))
	before, err := os.Lstat(os.DevNull)
	require.NoError(t, err)
	done, err := Commit(t.Context(), Out{Name: link, Data: []byte("new")}, Out{Name: os.DevNull, Data: []byte("new")})
	require.NoError(t, err)
	require.Empty(t, done.Replaced)
	after, err := os.Lstat(os.DevNull)
	require.NoError(t, err)
	require.True(t, os.SameFile(before, after), "the device is the same")
	require.ErrorContains(t, Check(nil, Out{Flag: "--write", Name: link, Was: []byte{}}), "--write "+link+": this is no file on a disk")

	path := filepath.Join(dir, "socket")
	fd, err := syscall.Socket(syscall.AF_UNIX, syscall.SOCK_STREAM, 0)
	require.NoError(t, err)
	defer syscall.Close(fd)
	require.NoError(t, syscall.Bind(fd, &syscall.SockaddrUnix{Name: path}))
	require.ErrorContains(t, Check(nil, Out{Flag: "-o", Name: path}), "this is a socket, want a file")
}

// Links are followed, also those that lead nowhere yet; modes stay.
func TestLinksAndModes(t *testing.T) {
	dir := folder(t, map[string]string{"rig": "old"})
	at := func(name string) string { return filepath.Join(dir, name) }
	require.NoError(t, os.Mkdir(at("far"), 0o777))
	require.NoError(t, os.Rename(at("rig"), at("far/rig")))
	for link, to := range map[string]string{"a": "b", "b": "far/rig", "later": "far/later"} {
		require.NoError(t, os.Symlink(to, at(link)))
	}
	require.NoError(t, os.Chmod(at("far/rig"), 0o640))
	_, err := Commit(t.Context(), outs(dir, "a", "new", "later", "new")...)
	require.NoError(t, err)
	holds(t, at("far"), map[string]string{"rig": "new", "later": "new"})
	for _, link := range []string{"a", "b", "later"} {
		info, err := os.Lstat(at(link))
		require.NoError(t, err)
		require.NotZero(t, info.Mode()&fs.ModeSymlink, link)
	}
	info, err := os.Stat(at("far/rig"))
	require.NoError(t, err)
	require.Equal(t, fs.FileMode(0o640), info.Mode())
}

// public is a folder in which everybody may write.
func public(t *testing.T) string {
	t.Helper()
	dir, err := os.MkdirTemp("", "choirloft")
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, os.RemoveAll(dir)) })
	require.NoError(t, os.Chmod(dir, 0o777))
	return dir
}

// asNobody runs one test of this file again as a user without rights, in a
// folder. Where that cannot be, because we are none ourselves, it runs here.
func asNobody(t *testing.T, dir string) (child bool) {
	if os.Getenv("CHOIRLOFT_AS_NOBODY") != "" || os.Geteuid() != 0 {
		return true
	}
	program := filepath.Join(public(t), "test") // the one that runs may lie where nobody may look
	self, err := os.Executable()
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(program, must(os.ReadFile(self)), 0o755))
	cmd := exec.Command(program, "-test.run", "^"+t.Name()+"$")
	cmd.Env = append(os.Environ(), "CHOIRLOFT_AS_NOBODY="+dir)
	cmd.Dir = dir
	cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: 65534, Gid: 65534}}
	said, err := cmd.CombinedOutput()
	require.NoError(t, err, string(said))
	return false
}

// Without a right to write, a file is refused before the work.
func TestPermission(t *testing.T) {
	dir := os.Getenv("CHOIRLOFT_AS_NOBODY")
	if dir == "" {
		dir = public(t)
		require.NoError(t, os.WriteFile(filepath.Join(dir, "theirs"), []byte("old"), 0o666))
		require.NoError(t, os.Chmod(filepath.Join(dir, "theirs"), 0o666))
	}
	if !asNobody(t, dir) {
		holds(t, dir, map[string]string{"theirs": "old"})
		return
	}
	at := func(name string) string { return filepath.Join(dir, name) }
	require.NoError(t, os.Mkdir(at("mine"), 0o777))
	defer os.RemoveAll(at("mine"))
	require.NoError(t, os.WriteFile(at("mine/locked"), nil, 0o444))
	require.NoError(t, os.Mkdir(at("mine/closed"), 0o555))
	for name, want := range map[string]string{
		"mine/locked":   "DIR/mine/locked: permission denied",
		"mine/closed/x": "DIR/mine/closed/x: no file can be made in its folder: permission denied",
	} {
		err := Check(nil, Out{Flag: "-o", Name: at(name)})
		require.EqualError(t, err, strings.ReplaceAll(want, "DIR", dir))
		require.ErrorIs(t, err, fs.ErrPermission)
		_, err = Commit(t.Context(), outs(dir, "mine/fresh", "new", name, "new")...)
		require.ErrorIs(t, err, fs.ErrPermission)
	}
	if info, err := os.Stat(at("theirs")); err == nil && !mine(info) {
		for _, c := range []struct {
			was  []byte
			hint string
		}{{nil, "give another name"}, {[]byte{}, "copy it, and name the copy instead"}} {
			err := Check(nil, Out{Name: at("theirs"), Was: c.was})
			require.EqualError(t, err, at("theirs")+": it belongs to another user, and would then be yours")
			var unwritten *Error
			require.ErrorAs(t, err, &unwritten)
			require.Equal(t, c.hint, unwritten.Hint)
		}
	}
	left, err := os.ReadDir(at("mine"))
	require.NoError(t, err)
	require.Len(t, left, 2)
}

// versions writes twelve files again and again, all with the same text, until it
// is killed.
func versions(dir string) {
	for n := 0; ; n++ {
		var list []Out
		for i := range 12 {
			list = append(list, Out{Name: filepath.Join(dir, fmt.Sprintf("stem-%02d", i)), Data: fmt.Appendf(nil, "version %d", n)})
		}
		if _, err := Commit(context.Background(), list...); err != nil {
			fmt.Println(err)
			os.Exit(1)
		}
	}
}

// A run is killed at a random moment, by the system. Then twelve files that were
// written together are of one version as soon as somebody reads or writes there,
// and nothing else is left.
func TestKilled(t *testing.T) {
	if dir := os.Getenv("CHOIRLOFT_VERSIONS_IN"); dir != "" {
		versions(dir)
	}
	mixed, mended := 0, 0
	for range rounds(t, 5, 200) {
		dir := quick(t)
		cmd := exec.Command(os.Args[0], "-test.run", "^TestKilled$")
		cmd.Env = append(os.Environ(), "CHOIRLOFT_VERSIONS_IN="+dir)
		require.NoError(t, cmd.Start())
		require.Eventually(t, func() bool { _, err := os.Stat(filepath.Join(dir, "stem-11")); return err == nil }, 10*time.Second, time.Millisecond)
		time.Sleep(rand.N(20 * time.Millisecond))
		require.NoError(t, cmd.Process.Kill())
		require.ErrorContains(t, cmd.Wait(), "killed")
		seen := func() (texts []string) {
			for i := range 12 {
				texts = append(texts, string(must(os.ReadFile(filepath.Join(dir, fmt.Sprintf("stem-%02d", i))))))
			}
			slices.Sort(texts)
			return slices.Compact(texts)
		}
		if len(seen()) > 1 {
			mixed++
		}
		said, err := Settle(t.Context(), filepath.Join(dir, "stem-00"))
		require.NoError(t, err)
		mended += len(said)
		require.Len(t, seen(), 1)
		_, err = Commit(t.Context(), outs(dir, "next", "")...)
		require.NoError(t, err)
		left, err := os.ReadDir(dir)
		require.NoError(t, err)
		require.Len(t, left, 13)
	}
	t.Logf("%d were of two versions until they were mended; %d journals were followed", mixed, mended)
}
