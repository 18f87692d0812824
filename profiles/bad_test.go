package profiles

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// Each bad rig lies beside the exact faults it has. UPDATE_GOLDEN=1 rewrites
// them.
func TestBadRigs(t *testing.T) {
	folder := filepath.Join(rigs, "bad")
	files, err := filepath.Glob(filepath.Join(folder, "*.yaml"))
	require.NoError(t, err)
	require.GreaterOrEqual(t, len(files), 40)
	for _, file := range files {
		name := filepath.Base(file)
		t.Run(strings.TrimSuffix(name, ".yaml"), func(t *testing.T) {
			data, err := os.ReadFile(file)
			require.NoError(t, err)
			rig, faults := Read(name, data, os.DirFS(folder))
			require.Nil(t, rig)
			require.NotEmpty(t, faults)
			golden(t, strings.TrimSuffix(file, ".yaml")+".faults", faults.Error()+"\n")
		})
	}
}

// golden compares with a file, or rewrites it where UPDATE_GOLDEN is 1.
func golden(t *testing.T, file, got string) {
	t.Helper()
	if os.Getenv("UPDATE_GOLDEN") == "1" {
		require.NoError(t, os.WriteFile(file, []byte(got), 0o644))
	}
	want, err := os.ReadFile(file)
	require.NoError(t, err)
	require.Equal(t, string(want), got)
}
