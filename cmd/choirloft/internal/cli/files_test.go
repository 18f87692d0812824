package cli

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// Of several files, one that cannot be written leaves all as they were, and
// nothing beside them.
func TestReplaceAllOrNone(t *testing.T) {
	dir := scratch(t, map[string]string{"a": "old a", "b": "old b"})
	a, b := filepath.Join(dir, "a"), filepath.Join(dir, "b")
	err := replaceAll([]written{{file: a, data: []byte("new")}, {file: b, data: []byte("new")}, {file: filepath.Join(dir, "no", "c"), data: []byte("new")}})
	require.ErrorContains(t, err, "no such file or directory")
	for path, want := range map[string]string{a: "old a", b: "old b"} {
		data, err := os.ReadFile(path)
		require.NoError(t, err)
		require.Equal(t, want, string(data))
	}
	left, err := os.ReadDir(dir)
	require.NoError(t, err)
	require.Len(t, left, 2)

	require.NoError(t, os.Chmod(a, 0o600))
	require.NoError(t, replaceAll([]written{{file: a, data: []byte("new a")}, {file: b, data: []byte("new b")}}))
	data, err := os.ReadFile(b)
	require.NoError(t, err)
	require.Equal(t, "new b", string(data))
	info, err := os.Stat(a)
	require.NoError(t, err)
	require.Equal(t, os.FileMode(0o600), info.Mode().Perm(), "a file keeps its mode")
}
