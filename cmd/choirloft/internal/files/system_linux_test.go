package files

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"
)

// small mounts a disk of 64 kB.
func small(t *testing.T) string {
	t.Helper()
	if os.Geteuid() != 0 {
		t.Skip("only root can mount a small disk")
	}
	dir := t.TempDir()
	require.NoError(t, unix.Mount("tmpfs", dir, "tmpfs", 0, "size=64k"))
	t.Cleanup(func() { require.NoError(t, unix.Unmount(dir, 0)) })
	return dir
}

// A disk that is full is noticed before the work where the size is known, else
// in writing; either way the old files stay, and nothing beside them.
func TestDiskFull(t *testing.T) {
	dir := small(t)
	at := func(name string) string { return filepath.Join(dir, name) }
	want := map[string]string{"a": strings.Repeat("a", 4096), "b": "old b"}
	for name, text := range want {
		require.NoError(t, os.WriteFile(at(name), []byte(text), 0o666))
	}
	big := []byte(strings.Repeat("x", 60<<10))
	fill := func(size int) Out {
		return Out{Name: at("c"), Size: int64(size), Fill: func(w io.Writer) error {
			for range 60 {
				if _, err := w.Write(big[:1024]); err != nil {
					return err
				}
			}
			return nil
		}}
	}
	for _, o := range []Out{{Name: at("a"), Data: big}, {Name: at("c"), Data: big}, fill(60 << 10)} {
		require.ErrorContains(t, Check(nil, o), "no room: 61 kB to be written, and the disk has 57 kB left")
		_, err := Commit(t.Context(), append(outs(dir, "b", "new"), o)...)
		require.ErrorContains(t, err, "no room: 61 kB to be written")
		holds(t, dir, want)
	}
	require.NoError(t, Check(nil, fill(0)))
	for _, list := range [][]Out{{fill(0)}, append(outs(dir, "b", "new"), fill(0)), append(outs(dir, "a", "new", "b", "new"), fill(0))} {
		_, err := Commit(t.Context(), list...)
		require.ErrorIs(t, err, syscall.ENOSPC)
		require.EqualError(t, err, at("c")+": no space left on device")
		holds(t, dir, want)
	}

	// the last bytes go: then not even an empty file is begun
	require.ErrorIs(t, os.WriteFile(at("rest"), big, 0o666), syscall.ENOSPC)
	require.ErrorContains(t, Check(nil, Out{Name: at("c")}), "no room: 0 bytes to be written, and the disk has 0 bytes left")
	require.NoError(t, os.Remove(at("rest")))
	_, err := Commit(t.Context(), outs(dir, "a", "new a", "b", "new b")...)
	require.NoError(t, err)
	holds(t, dir, map[string]string{"a": "new a", "b": "new b"})
}

// At every amount of room from none to enough, files are all old or all new:
// here the journal too may find no room.
func TestDiskNearlyFull(t *testing.T) {
	dir := small(t)
	at := func(name string) string { return filepath.Join(dir, name) }
	written := 0
	for pages := range 16 {
		rest := strings.Repeat("x", pages*4096)
		want := map[string]string{"a": "old", "b": "old", "rest": rest}
		for name, text := range want {
			err := os.WriteFile(at(name), []byte(text), 0o666)
			if errors.Is(err, syscall.ENOSPC) {
				return
			}
			require.NoError(t, err)
		}
		_, err := Commit(t.Context(), outs(dir, "a", strings.Repeat("a", 5000), "b", strings.Repeat("b", 5000), "c", strings.Repeat("c", 5000))...)
		if err == nil {
			written++
			want["a"], want["b"], want["c"] = strings.Repeat("a", 5000), strings.Repeat("b", 5000), strings.Repeat("c", 5000)
		}
		holds(t, dir, want)
		os.Remove(at("c"))
		require.Equal(t, pages <= 7, err == nil, "%d pages are taken, 16 there are; 6 + 1 of a journal + 2 old ones: %v", pages, err)
	}
	require.Positive(t, written)
}

// A disk that may only be read is refused before the work, even to root.
func TestReadOnlyDisk(t *testing.T) {
	dir := small(t)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "rig"), []byte("old"), 0o666))
	require.NoError(t, unix.Mount("", dir, "", unix.MS_REMOUNT|unix.MS_RDONLY, ""))
	for _, name := range []string{"rig", "new"} {
		err := Check(nil, Out{Name: filepath.Join(dir, name)})
		require.ErrorIs(t, err, syscall.EROFS)
		require.ErrorContains(t, err, "read-only file system")
	}
}

// A device node stays one, and owners stay.
func TestRootsFiles(t *testing.T) {
	if os.Geteuid() != 0 {
		t.Skip("only root can make device nodes and give files away")
	}
	dir := folder(t, map[string]string{"rig": "old", "sheet": "old"})
	node := filepath.Join(dir, "null")
	require.NoError(t, unix.Mknod(node, unix.S_IFCHR|0o666, int(unix.Mkdev(1, 3))))
	full := filepath.Join(dir, "full")
	require.NoError(t, unix.Mknod(full, unix.S_IFCHR|0o666, int(unix.Mkdev(1, 7))))
	require.NoError(t, os.Chown(filepath.Join(dir, "rig"), 65534, 12))
	require.NoError(t, os.Chmod(filepath.Join(dir, "rig"), 0o604))
	_, err := Commit(t.Context(), append(outs(dir, "rig", "new", "sheet", "new"), Out{Name: node, Data: []byte("new")})...)
	require.NoError(t, err)
	info, err := os.Lstat(filepath.Join(dir, "rig"))
	require.NoError(t, err)
	uid, gid := owner(info)
	require.Equal(t, []any{65534, 12, fs.FileMode(0o604)}, []any{uid, gid, info.Mode()})
	info, err = os.Lstat(node)
	require.NoError(t, err)
	require.NotZero(t, info.Mode()&fs.ModeCharDevice)

	_, err = Commit(t.Context(), append(outs(dir, "rig", "newer", "sheet", "newer"), Out{Name: full, Data: []byte("new")})...)
	require.EqualError(t, err, full+": no space left on device", "what /dev/full says")
	require.NoError(t, os.Remove(node))
	require.NoError(t, os.Remove(full))
	holds(t, dir, map[string]string{"rig": "new", "sheet": "new"})
}
